//! The sheets held against themselves and against each other.
//!
//! A slip of the keying, or of the printer, shows as an inch that is not its millimetre, a scale
//! out of order, or an identity that fails. Known misprints are named here one by one; a new one
//! fails the test.

#![expect(clippy::panic, reason = "a test that cannot go on says why")]

use gradeworthy_standards::{
    Bounds, Cell, Limit, Scale, TrackStandard, WheelLimits, WheelOnTrack, WheelStandard, cells,
    contours, table, track_limits, track_rows, wheel_limits, wheel_rows,
};
use gradeworthy_units::{Amount, Length};

fn thousandths(limit: Option<Limit>) -> Option<f64> {
    limit.map(|limit| limit.value.inches() * 1000.0)
}

fn step(cell: Cell) -> Length {
    match cell.printed_step() {
        Some(Amount::Length(step)) => step,
        other => panic!("{}: a step of {other:?}", cell.clause()),
    }
}

/// Printed pairs of inch and millimetre that differ by more than the rounding of both.
const NOT_THE_SAME_LENGTH: &[(&str, &str, &str)] = &[
    // The sheet prints 2.18 mm beside .090 in, which is 2.29 mm.
    ("nmra-s-4.2-old-notes", "F", "d_max"),
    // The page prints 15.55 mm beside .613 in, which is 15.57 mm.
    ("proto-87.1", "Proto:87", "b_max"),
];

/// Within half a step of the inch and half a step of the millimetre as printed.
#[test]
fn inch_and_millimetre_columns_are_the_same_length() {
    let mut pairs = 0;
    for millimetre in cells().filter(|cell| cell.unit() == "mm") {
        let stem = millimetre.column().strip_suffix("_mm");
        let inch = stem.and_then(|stem| {
            let row = millimetre.row();
            millimetre.table.cell(row, stem).or_else(|| {
                let column = format!("{stem}_in");
                millimetre.table.cell(row, &column)
            })
        });
        let Some(inch) = inch.filter(|cell| cell.unit() == "in") else {
            continue;
        };
        let (Some(in_inch), Some(in_mm)) = (inch.length(), millimetre.length()) else {
            panic!("{}: no length", inch.clause());
        };
        let allowed = step(millimetre).half() + step(inch).half();
        let agrees = (in_inch - in_mm).abs() <= allowed;
        let named = stem
            .is_some_and(|stem| NOT_THE_SAME_LENGTH.contains(&(inch.table.id, inch.row(), stem)));
        assert_eq!(agrees, !named, "{}: {in_inch} and {in_mm}", inch.clause());
        pairs += 1;
    }
    assert!(pairs > 300, "{pairs} pairs");
}

/// Where the millimetres are recomputed from the inch, half a step of the millimetre suffices.
#[test]
fn recomputed_millimetres_are_the_inch_to_their_last_place() {
    let recomputed = [
        "nmra-s-4.2-old",
        "nmra-s-3.2-old",
        "nmra-s-3.2-2010",
        "nmra-rp-25",
    ];
    let mut pairs = 0;
    for millimetre in cells().filter(|cell| recomputed.contains(&cell.table.id)) {
        let Some(stem) = millimetre.column().strip_suffix("_mm") else {
            continue;
        };
        let Some(inch) = millimetre.table.cell(millimetre.row(), stem) else {
            continue;
        };
        let difference = inch.length().zip(millimetre.length());
        let difference = difference.map(|(inch, mm)| (inch - mm).abs());
        assert!(
            difference <= Some(step(millimetre).half()),
            "{}",
            inch.clause()
        );
        pairs += 1;
    }
    assert!(pairs > 300, "{pairs} pairs");
}

/// Source: [NMRA-RP-25]: width is flange and tread.
#[test]
fn rp_25_width_is_flange_thickness_and_tread_width() {
    for contour in contours() {
        let sum = contour.flange_thickness.value + contour.tread_width.value;
        assert_eq!(contour.width.value, sum, "code {}", contour.code);
    }
}

/// The old sheets were written together: K max is C min, D max is H min, B min clears S max.
#[test]
fn old_wheels_fit_old_track_at_the_limit() {
    for (wheels, track) in [
        (WheelStandard::NmraS42Old, TrackStandard::NmraS32Old),
        (WheelStandard::NmraRp4, TrackStandard::NmraRp3),
    ] {
        let mut rows = 0;
        for track in track_rows(track).filter(|row| !row.gauge.is_empty()) {
            let wheels = wheel_rows(wheels).find(|wheels| wheels.row == track.row);
            let wheels = wheels.unwrap_or_else(|| panic!("no wheels for row {}", track.row));
            let fit = WheelOnTrack::new(wheels, track).expect("one edition");
            assert_eq!(fit.check_gauge_margin, Some(Length::ZERO), "{}", track.row);
            assert!(fit.span_margin > Some(Length::ZERO), "{}", track.row);
            // #1 (I) prints H in a note, in millimetres only.
            let depth = (track.row != "#1 (I)").then_some(Length::ZERO);
            assert_eq!(fit.depth_margin, depth, "{}", track.row);
            rows += 1;
        }
        assert!(rows >= 6, "{rows} rows");
    }
}

/// Source: [PROTO-87]: its wheels clear its track by .002 in at the check gauge and .006 in at the
/// span, and the check gauge is a back-to-back and a flange.
#[test]
fn proto_87_wheels_fit_proto_87_track() {
    let wheels = wheel_limits(WheelStandard::Proto87, Scale::HO).expect("one row");
    let track = track_limits(TrackStandard::Proto87, Scale::HO).expect("one row");
    let fit = WheelOnTrack::new(wheels, track).expect("one edition");
    assert_eq!(fit.check_gauge_margin, Some(Length::from_thousandths(2)));
    assert_eq!(fit.span_margin, Some(Length::from_thousandths(6)));
    let of = |limit| thousandths(limit).expect("printed");
    let check_gauge = of(wheels.check_gauge.max);
    let (thin, thick) = (wheels.flange_thickness.min, wheels.flange_thickness.max);
    assert!(of(wheels.back_to_back.min) + of(thin) < check_gauge);
    assert!(of(wheels.back_to_back.max) + of(thick) > check_gauge);
}

/// Source: [NMRA-S-3.2] old: G − C and C − S are below F, so F can only be a maximum.
#[test]
fn f_of_the_old_s_3_2_is_a_maximum() {
    let ho = track_limits(TrackStandard::NmraS32Old, Scale::HO).expect("HO row");
    let of = |bounds: Bounds| thousandths(bounds.min.or(bounds.max)).expect("printed");
    assert!(of(ho.gauge) - of(ho.check_gauge) < of(ho.flangeway));
    assert!(of(ho.check_gauge) - of(ho.span) < of(ho.flangeway));
}

/// Source: [NMRA-S-3.2] 2010: limits are target plus and less tolerance, in every cell.
#[test]
fn limits_of_2010_are_target_and_tolerance() {
    let sheet = table("nmra-s-3.2-2010").expect("in the catalogue");
    let mut checked = 0;
    for row in sheet.rows() {
        for letter in ["g", "c", "s", "f", "p"] {
            let length = |suffix: &str| sheet.cell(row, &format!("{letter}{suffix}"))?.length();
            let Some(target) = length("") else { continue };
            let less = length("_minus").map(|minus| target - minus);
            let more = length("_plus").map(|plus| target + plus);
            assert_eq!(
                (length("_lo"), length("_hi")),
                (less, more),
                "{row} {letter}"
            );
            checked += 1;
        }
    }
    assert_eq!(checked, 13 * 5 + 1);
}

/// The sheet says S = C − F; the printed targets are .002 in less, and two rows are otherwise.
#[test]
fn span_of_2010_is_check_gauge_less_flangeway_less_two_thousandths() {
    for row in track_rows(TrackStandard::NmraS32Of2010) {
        let target = |bounds: Bounds| thousandths(bounds.target);
        let Some(span) = target(row.span) else {
            continue;
        };
        let less = target(row.check_gauge).zip(target(row.flangeway));
        let less = less
            .map(|(check, flangeway)| check - flangeway)
            .expect("printed");
        let expected = match row.row {
            "F" => -4.0,
            "Fn3" => 13.0,
            _ => -2.0,
        };
        assert!(
            (span - less - expected).abs() < 1e-6,
            "{}: {span} and {less}",
            row.row
        );
    }
}

/// A larger scale has larger wheels and wider track, in every column.
#[test]
fn limits_grow_with_the_scale() {
    let standard_gauge = [
        Scale::Z,
        Scale::N,
        Scale::TT,
        Scale::HO,
        Scale::S,
        Scale::O,
        Scale::No1,
        Scale::ThreeQuarterInch,
        Scale::OneInch,
    ];
    let grows = |values: Vec<Option<f64>>, strictly: bool, what: &str| {
        let held: Vec<_> = values.into_iter().flatten().collect();
        assert!(held.len() >= 5, "{what}: {held:?}");
        for pair in held.windows(2) {
            assert!(
                pair[0] < pair[1] || !strictly && pair[0] <= pair[1],
                "{what}: {pair:?}"
            );
        }
    };
    let wheels = |of: fn(&WheelLimits) -> Option<Limit>| {
        let row = |scale| wheel_limits(WheelStandard::NmraS42Old, scale).and_then(of);
        standard_gauge.map(|scale| thousandths(row(scale))).to_vec()
    };
    grows(wheels(|row| row.check_gauge.max), true, "K max");
    grows(wheels(|row| row.back_to_back.min), true, "B min");
    grows(wheels(|row| row.tire_width.min), false, "N min");
    grows(wheels(|row| row.flange_depth.max), false, "D max");
    for standard in [TrackStandard::NmraS32Old, TrackStandard::NmraS32Of2010] {
        let track = |of: fn(&gradeworthy_standards::TrackLimits) -> Option<Limit>| {
            let row = |scale| track_limits(standard, scale).and_then(of);
            standard_gauge.map(|scale| thousandths(row(scale))).to_vec()
        };
        grows(track(|row| row.gauge.min), true, "G min");
        grows(track(|row| row.check_gauge.min), true, "C min");
        grows(track(|row| row.span.max), true, "S max");
        grows(track(|row| row.flangeway.max), false, "F max");
    }
}

/// Source: [NEM-310] 2009: K = B + T. Both ends of K are the ends of B with the least flange, but
/// for K min of 6.5 mm, where 5.65 is printed as 5.7.
#[test]
fn check_gauge_of_nem_310_is_back_to_back_and_least_flange() {
    for row in wheel_rows(WheelStandard::Nem310Of2009) {
        let flange = row.flange_thickness.min.expect("printed").value;
        let ends = |of: fn(&Bounds) -> Option<Limit>| {
            let value = |bounds| of(bounds).expect("printed").value;
            (value(&row.check_gauge), value(&row.back_to_back) + flange)
        };
        let (least, sum) = ends(|bounds| bounds.min);
        let rounding = Length::from_hundredths_mm(if row.row == "6.5" { 5 } else { 0 });
        assert_eq!(least - sum, rounding, "K min of {}", row.row);
        let (greatest, sum) = ends(|bounds| bounds.max);
        assert_eq!(greatest, sum, "K max of {}", row.row);
    }
}

/// The NEM of 2009 is not that of 1977, and the tool keeps both.
#[test]
fn the_two_editions_of_nem_310_stay_two() {
    let of = |standard| wheel_limits(standard, Scale::NemH0).expect("16.5 mm");
    let (new, old) = (
        of(WheelStandard::Nem310Of2009),
        of(WheelStandard::Nem310Of1977),
    );
    let value = |limit: Option<Limit>| limit.map(|limit| limit.value);
    assert_eq!(
        value(new.check_gauge.max),
        Some(Length::from_hundredths_mm(1530))
    );
    assert_eq!(
        value(old.check_gauge.max),
        Some(Length::from_hundredths_mm(1520))
    );
    assert_eq!(
        value(new.back_to_back.min),
        Some(Length::from_hundredths_mm(1440))
    );
    assert_eq!(
        value(old.back_to_back.min),
        Some(Length::from_hundredths_mm(1430))
    );
}

/// Source: [CFR-231.31]: every band is three inches.
#[test]
fn every_coupler_band_is_three_inches() {
    let heights = table("cfr-231.31").expect("in the catalogue");
    for row in heights.rows() {
        let length = |column| {
            heights
                .cell(row, column)
                .and_then(Cell::length)
                .expect("printed")
        };
        assert_eq!(
            length("max") - length("min"),
            Length::from_thousandths(3_000),
            "{row}"
        );
    }
}

/// Source: [NEM-010]: a narrow gauge is the standard gauge of the next smaller size.
#[test]
fn narrow_gauges_of_nem_010_are_those_of_the_next_smaller_size() {
    let sizes = table("nem-010").expect("in the catalogue");
    let standard: Vec<_> = sizes
        .rows()
        .map(|row| sizes.cell(row, "standard"))
        .collect();
    let length = |cell: Option<Cell>| cell.and_then(Cell::length);
    let mut checked = 0;
    for (index, row) in sizes.rows().enumerate() {
        for (smaller, column) in (1..).zip(["m", "e", "i", "p"]) {
            let narrow = length(sizes.cell(row, column));
            let Some(printed) = narrow else { continue };
            match index.checked_sub(smaller) {
                Some(at) => assert_eq!(length(standard[at]), Some(printed), "{row} {column}"),
                // Below Z, the sheet goes on with 4.5 mm.
                None => assert_eq!(printed, Length::from_hundredths_mm(450), "{row} {column}"),
            }
            checked += 1;
        }
    }
    assert!(checked > 35, "{checked} narrow gauges");
}

/// Source: [NEM-103], [NEM-112], [NEM-302]: sharper curves and larger sizes ask for more.
#[test]
fn nem_tables_are_in_order() {
    let numbers = |id: &str, column: &str| -> Vec<f64> {
        let table = table(id).expect("in the catalogue");
        let cells = table
            .rows()
            .filter_map(|row| table.cell(row, column)?.number());
        cells.collect()
    };
    for column in ["a", "b", "c"] {
        let widening = numbers("nem-103", column);
        assert_eq!(widening.len(), 11);
        assert!(
            widening.is_sorted_by(|one, other| one >= other),
            "{widening:?}"
        );
    }
    let masses = numbers("nem-302", "g_per_mm");
    assert!(masses.len() == 8 && masses.is_sorted(), "{masses:?}");
    let cant = numbers("nem-114-umax", "u_max");
    assert!(cant.len() == 8 && cant.is_sorted(), "{cant:?}");
    let spacing = table("nem-112").expect("in the catalogue");
    for column in ["n", "tt", "h0", "s", "0", "i"] {
        let of = |row| {
            spacing
                .cell(row, column)
                .and_then(Cell::number)
                .expect("printed")
        };
        assert!(of("line") < of("station"), "{column}");
    }
}

/// Source: AAR RP-548 in pounds and in newtons, both from CORE 2016 (secondary): the metric form
/// takes g as 10 and rounds, so the two agree to 3 %.
#[test]
fn rp_548_in_pounds_and_in_newtons() {
    use gradeworthy_standards::resistance::{Formula, Running};
    const SHORT_TON_PER_TONNE: f64 = 1.102_311;
    const KM_PER_MILE: f64 = 1.609_344;
    let metric = |column| {
        let cell = table("train-resistance-formulas")?.cell("AAR RP-548 metric", column)?;
        cell.number()
    };
    let metric = |column| metric(column).expect("printed");
    for (tonnes, km_h) in [(30.0, 0.0), (30.0, 80.0), (130.0, 40.0), (130.0, 100.0)] {
        let running = Running {
            tons_per_axle: tonnes * SHORT_TON_PER_TONNE / 4.0,
            axle_count: 4.0,
            speed_mph: km_h / KM_PER_MILE,
        };
        let terms = Formula::AarRp548
            .coefficients()
            .terms(running)
            .expect("in range");
        let newton_per_tonne = metric("constant")
            + metric("per_car_load") / tonnes
            + metric("per_speed") * km_h
            + metric("air") * km_h * km_h / tonnes;
        let ratio = terms.ratio() * 10_000.0 / newton_per_tonne;
        assert!(
            (ratio - 1.0).abs() < 0.03,
            "{tonnes} t at {km_h} km/h: {ratio}"
        );
    }
}

/// Source: encyclopedia article on curve resistance (secondary) and [TR0603 ¶2.8]: 700/R is the
/// 0.8 lb/ton rule, a check of the one by the other.
#[test]
fn the_metric_curve_form_of_700_is_the_rule_of_0_8_pounds() {
    let cell = table("grade-curve-inertia").and_then(|table| {
        table
            .cell("metric curve resistance USSR", "value")?
            .number()
    });
    let constant = cell.expect("printed");
    let radius_m = gradeworthy_standards::curve::arc_radius_ft(1.0).expect("in range") * 0.3048;
    let percent_per_degree = constant / radius_m / 10.0;
    assert!(
        (percent_per_degree * 20.0 - 0.8).abs() < 0.005,
        "{percent_per_degree}"
    );
}

#[test]
fn nothing_from_memory_is_called_published() {
    let memory: Vec<_> = cells()
        .filter(|cell| cell.clause().to_string().ends_with("(from memory, verify)"))
        .collect();
    assert!(memory.len() > 30, "{} cells", memory.len());
    assert!(memory.iter().all(|cell| !cell.confidence().may_be_oracle()));
}
