//! How a long search is watched and stopped.

/// How far a search has come: how many trains are settled, of how many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Trains that are settled: shown to be no better, or worked out in full.
    pub done: usize,
    /// Trains that there are to settle.
    pub total: usize,
}

/// What the watcher wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Go {
    /// Go on.
    On,
    /// Stop, and give what has been found.
    Stop,
}

/// Told of the progress now and then, always by the thread that asked for the search.
pub type Watcher<'a> = &'a (dyn Fn(Progress) -> Go + Sync);

/// Why a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopReason {
    /// Everything was settled.
    Settled,
    /// What was asked for was found; the rest was left.
    Enough,
    /// The watcher said so; what is given is the best so far.
    Watcher,
}
