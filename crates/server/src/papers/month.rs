//! The monthly report, counted in one walk through every car's events. Struck events do not count.

use std::collections::{BTreeMap, HashMap};

use gradeworthy_paper::{BadOrders, Defects, Instrument, Monthly, Outcomes, SpreadOf, Waits};
use gradeworthy_standards::Scale;
use gradeworthy_store::{
    CarDoings, CarEvent, CarId, Fact, FleetFilter, FleetRow, RecordedInspection, Seq,
};
use gradeworthy_units::Amount;
use gradeworthy_workbench::checks::Aspect;
use gradeworthy_workbench::rules::Limited;
use jiff::Timestamp;
use jiff::civil::Date;

use super::gather::{Gathering, what};
use crate::refusal::Refusal;

/// Cars that keep coming back are named up to this many. ASSUMED: more are not read out at a meeting.
const WORST: usize = 12;

/// The report of `from` to `to`, both days counted.
pub(super) fn report(gathering: &Gathering<'_>, from: Date, to: Date) -> Result<Monthly, Refusal> {
    let mut count = Count::new(from, to);
    let rows = gathering.rows(&FleetFilter::default())?;
    for row in &rows {
        count.waiting(gathering, row);
    }
    let by_car: HashMap<CarId, &FleetRow> = rows.iter().map(|row| (row.car, row)).collect();
    gathering.snapshot.each_doings(|car, doings| {
        if let Some(row) = by_car.get(&car) {
            count.car(gathering, row, &doings);
        }
    })?;
    count.never_judged = rows.len() - count.ever_judged;
    let zone = &gathering.app.settings().zone;
    let start = |day: Date| zone.to_timestamp(day.at(0, 0, 0, 0));
    let beyond = |_: jiff::Error| Refusal::NotAChoice {
        found: format!("{from} to {to}"),
        expected: "period within the calendar",
    };
    let first = start(from).map_err(beyond)?;
    let after = to.tomorrow().and_then(start).map_err(beyond)?;
    for own in gathering.snapshot.instrument_uses(first, after)? {
        match own.instrument {
            None => count.unnamed = own.readings,
            Some(name) => count.instruments.push(Instrument {
                name: name.into(),
                readings: own.readings,
                last: gathering.app.day_of(own.last),
            }),
        }
    }
    Ok(count.report(&rows))
}

/// The car that has waited longest, and since when.
type Oldest = Option<(String, Date)>;

struct Count {
    from: Date,
    to: Date,
    outcomes: Outcomes,
    /// Reports and cars.
    defects: BTreeMap<String, (usize, usize)>,
    waits: BTreeMap<&'static str, (usize, Oldest)>,
    spreads: BTreeMap<(Scale, bool), SpreadOf>,
    worst: Vec<BadOrders>,
    instruments: Vec<Instrument>,
    unnamed: usize,
    ever_judged: usize,
    never_judged: usize,
}

impl Count {
    fn new(from: Date, to: Date) -> Self {
        Self {
            from,
            to,
            outcomes: Outcomes::default(),
            defects: BTreeMap::new(),
            waits: BTreeMap::new(),
            spreads: BTreeMap::new(),
            worst: Vec::new(),
            instruments: Vec::new(),
            unnamed: 0,
            ever_judged: 0,
            never_judged: 0,
        }
    }

    fn car(&mut self, gathering: &Gathering<'_>, row: &FleetRow, doings: &CarDoings) {
        let app = gathering.app;
        let is_within = |at: Timestamp| (self.from..=self.to).contains(&app.day_of(at));
        let inspections = doings.inspected.iter().filter(|at| is_within(**at)).count();
        let merged: Vec<Seq> = doings
            .events
            .iter()
            .filter_map(|event| match event.fact {
                Fact::Merged { duplicate, .. } => Some(duplicate),
                _ => None,
            })
            .collect();
        let within: Vec<&CarEvent> = doings
            .events
            .iter()
            .filter(|event| is_within(event.at))
            .collect();
        let any = |kind: fn(&Fact) -> bool| usize::from(within.iter().any(|own| kind(&own.fact)));
        let own = &mut self.outcomes;
        own.judged += usize::from(inspections > 0);
        own.inspections += inspections;
        own.admitted += any(|fact| {
            matches!(
                fact,
                Fact::Released {
                    restriction: None,
                    ..
                }
            )
        });
        own.limited += any(|fact| {
            matches!(
                fact,
                Fact::Released {
                    restriction: Some(_),
                    ..
                }
            )
        });
        own.handed_back += any(|fact| matches!(fact, Fact::HandedBack { .. }));
        self.ever_judged += usize::from(!doings.inspected.is_empty());
        self.bad_orders(row, &doings.events, &within, &merged);
        if let Some(last) = &doings.last_inspection {
            self.readings(row.scale, last);
        }
    }

    fn bad_orders(
        &mut self,
        row: &FleetRow,
        events: &[CarEvent],
        within: &[&CarEvent],
        merged: &[Seq],
    ) {
        let report = |event: &CarEvent| match &event.fact {
            Fact::BadOrdered(report) if !merged.contains(&event.seq) => {
                Some(report.defect.to_string())
            }
            _ => None,
        };
        let now: Vec<String> = within.iter().filter_map(|event| report(event)).collect();
        let ever: Vec<String> = events.iter().filter_map(report).collect();
        let Some(last) = now.last() else { return };
        self.outcomes.bad_ordered += 1;
        let mut seen: Vec<&String> = Vec::new();
        for defect in &now {
            let own = self.defects.entry(defect.clone()).or_default();
            own.0 += 1;
            if !seen.contains(&defect) {
                own.1 += 1;
                seen.push(defect);
            }
        }
        if ever.len() > 1 {
            self.worst.push(BadOrders {
                mark: row.mark.to_string(),
                what: what(row),
                in_period: now.len(),
                ever: ever.len(),
                last: last.clone(),
            });
        }
    }

    fn waiting(&mut self, gathering: &Gathering<'_>, row: &FleetRow) {
        if !row.standing.on_rip_track() {
            return;
        }
        let since = gathering.app.day_of(row.since);
        let (cars, oldest) = self.waits.entry(row.standing.name()).or_default();
        *cars += 1;
        if oldest.as_ref().is_none_or(|(_, day)| since < *day) {
            *oldest = Some((row.mark.to_string(), since));
        }
    }

    /// Heights and weights as they were judged last, with the limits where those are the same for all
    /// cars of the scale.
    fn readings(&mut self, scale: Scale, last: &RecordedInspection) {
        let height = Aspect::Limited(Limited::CouplerHeight).to_string();
        let weight = Aspect::Weight.to_string();
        for line in &last.lines {
            let limits = (line.lower, line.upper);
            if *line.aspect == *height {
                self.spread((scale, false), &height, line.reading, limits);
            } else if *line.aspect == *weight {
                // Its limits follow the length of each car.
                self.spread((scale, true), &weight, line.reading, (None, None));
            }
        }
    }

    fn spread(
        &mut self,
        key: (Scale, bool),
        name: &str,
        reading: Option<Amount>,
        limits: (Option<Amount>, Option<Amount>),
    ) {
        let Some(reading) = reading else { return };
        let own = self.spreads.entry(key).or_insert_with(|| SpreadOf {
            what: format!("{name}, {}, judged last", key.0),
            values: Vec::new(),
            limits,
        });
        own.values.push(reading);
        if own.limits != limits {
            own.limits = (None, None);
        }
    }

    fn report(mut self, rows: &[FleetRow]) -> Monthly {
        let mut defects: Vec<Defects> = self
            .defects
            .into_iter()
            .map(|(defect, (reports, cars))| Defects {
                defect,
                reports,
                cars,
            })
            .collect();
        defects.sort_by_key(|own| std::cmp::Reverse(own.reports));
        self.worst
            .sort_by_key(|own| std::cmp::Reverse((own.in_period, own.ever)));
        self.worst.truncate(WORST);
        // The most used first; those used alike by name.
        self.instruments
            .sort_by_key(|own| std::cmp::Reverse(own.readings));
        let waits = self.waits.into_iter().map(|(why, (cars, oldest))| Waits {
            why: why.to_owned(),
            cars,
            oldest,
        });
        let mut missing = vec![
            "Where cars came apart on the hill: this report counts what was reported of cars, not of \
             places."
                .to_owned(),
            "What waits, heights and weights are as of now; the record is not turned back for them."
                .to_owned(),
        ];
        if self.never_judged > 0 {
            let all = rows.len();
            missing.push(format!(
                "{} of {all} cars have never been judged.",
                self.never_judged
            ));
        }
        Monthly {
            from: self.from,
            to: self.to,
            outcomes: self.outcomes,
            defects,
            waits: waits.collect(),
            spreads: self.spreads.into_values().collect(),
            worst: self.worst,
            instruments: self.instruments,
            unnamed_readings: self.unnamed,
            missing,
        }
    }
}
