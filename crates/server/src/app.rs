//! The application: what every handler has at hand, and what surrounds every handler.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
    X_FRAME_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::middleware::from_fn_with_state;
use gradeworthy_store::{Backups, Store, Token};
use gradeworthy_workbench::shop::Shop;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use tower::ServiceBuilder;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use tower_http::timeout::TimeoutLayer;

use crate::books::Books;
use crate::exchange::{OneAtATime, Uploads};
use crate::guard;
use crate::held::Held;
use crate::jobs::Jobs;
use crate::keeping::Keeping;
use crate::refusal::{self, Refusal};
use crate::routes;
use crate::throttle::Throttle;

/// Where the time comes from.
pub type Clock = Arc<dyn Fn() -> Timestamp + Send + Sync>;

/// How long an answer may take. ASSUMED: a person gives up after half a minute.
const PATIENCE: Duration = Duration::from_secs(30);

/// Pages load our own stylesheet and scripts, and send forms and readings to us; nothing else is
/// allowed to them, and nothing that stands in a page itself is run.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self'; \
     img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// How this server is set up.
#[derive(Clone)]
pub struct Settings {
    /// The clock.
    pub clock: Clock,
    /// The shop's time zone, for times on pages.
    pub zone: TimeZone,
    /// Stock and past results, for cures.
    pub shop: Shop,
    /// Whether this is the invented sample club; every page then says so.
    pub sample: bool,
    /// Where the daily copies of the record go; `None` keeps none, for the sample.
    pub backups: Option<Backups>,
    /// Whether it is served under TLS: cookies are then for TLS only, and links begin with https.
    pub tls: bool,
    /// The token of the set-up address, while the record has no lead.
    pub set_up: Option<Token>,
}

/// What every handler has at hand.
#[derive(Clone)]
pub struct App(Arc<Parts>);

struct Parts {
    store: Store,
    settings: Settings,
    throttle: Throttle,
    jobs: Jobs,
    keeping: Keeping,
    books: Books,
    uploads: Uploads,
    writing_out: OneAtATime,
    held: Held,
}

impl App {
    /// An application over an opened record.
    #[must_use]
    pub fn new(store: Store, settings: Settings) -> Self {
        let throttle = Throttle::default();
        Self(Arc::new(Parts {
            store,
            settings,
            throttle,
            jobs: Jobs::default(),
            keeping: Keeping::default(),
            books: Books::default(),
            uploads: Uploads::default(),
            writing_out: OneAtATime::default(),
            held: Held::default(),
        }))
    }

    /// Whether it is served under TLS.
    #[must_use]
    pub fn is_under_tls(&self) -> bool {
        self.settings().tls
    }

    pub(crate) fn store(&self) -> &Store {
        &self.0.store
    }

    pub(crate) fn settings(&self) -> &Settings {
        &self.0.settings
    }

    pub(crate) fn throttle(&self) -> &Throttle {
        &self.0.throttle
    }

    pub(crate) fn jobs(&self) -> &Jobs {
        &self.0.jobs
    }

    pub(crate) fn keeping(&self) -> &Keeping {
        &self.0.keeping
    }

    pub(crate) fn books(&self) -> &Books {
        &self.0.books
    }

    pub(crate) fn uploads(&self) -> &Uploads {
        &self.0.uploads
    }

    pub(crate) fn writing_out(&self) -> &OneAtATime {
        &self.0.writing_out
    }

    pub(crate) fn held(&self) -> &Held {
        &self.0.held
    }

    pub(crate) fn now(&self) -> Timestamp {
        (self.0.settings.clock)()
    }

    /// The day it is in the shop.
    pub(crate) fn today(&self) -> Date {
        self.day_of(self.now())
    }

    /// The day it was in the shop.
    pub(crate) fn day_of(&self, at: Timestamp) -> Date {
        self.settings().zone.to_datetime(at).date()
    }

    /// Does something that may wait for the disk, where waiting is allowed.
    pub(crate) async fn wait<T: Send + 'static>(
        self,
        work: impl FnOnce(&Self) -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Refusal> {
        match tokio::task::spawn_blocking(move || work(&self)).await {
            Ok(answer) => answer,
            Err(error) => match error.try_into_panic() {
                // The layer that catches panics answers for this one, too.
                Ok(panic) => std::panic::resume_unwind(panic),
                Err(_) => Err(Refusal::Stopping),
            },
        }
    }
}

/// Every route of the table behind its guard, and around them what holds for all.
pub fn build_app(app: App) -> Router {
    let mut router = Router::new();
    for route in routes::all() {
        let guard = from_fn_with_state((app.clone(), route), guard::guard);
        let handler = (route.handler)(route.method)
            .route_layer(DefaultBodyLimit::disable())
            .route_layer(RequestBodyLimitLayer::new(route.body_most))
            .route_layer(guard);
        router = router.route(route.path, handler);
    }
    let around = ServiceBuilder::new()
        .layer(fixed(CONTENT_SECURITY_POLICY, CONTENT_POLICY))
        .layer(fixed(X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .layer(fixed(X_FRAME_OPTIONS, "DENY"))
        // Not 'no-referrer': with that, a browser sends `Origin: null` with our own forms
        // (WHATWG Fetch, 'append a request Origin header'), and they would be taken for forged.
        .layer(fixed(REFERRER_POLICY, "same-origin"))
        .layer(SetResponseHeaderLayer::if_not_present(
            CACHE_CONTROL,
            HeaderValue::from_static("no-store"),
        ))
        .layer(from_fn_with_state(app.clone(), refusal::dress))
        .layer(CatchPanicLayer::custom(refusal::Panicked))
        .layer(TimeoutLayer::with_status_code(
            StatusCode::REQUEST_TIMEOUT,
            PATIENCE,
        ))
        .layer(CsrfLayer::new());
    router.layer(around).with_state(app)
}

fn fixed(name: HeaderName, value: &'static str) -> SetResponseHeaderLayer<HeaderValue> {
    SetResponseHeaderLayer::overriding(name, HeaderValue::from_static(value))
}
