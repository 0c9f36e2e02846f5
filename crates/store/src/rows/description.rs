//! What a car is, as one row with its tags and shims beside it.

use gradeworthy_units::Length;
use gradeworthy_workbench::record::{Axles, CarType, End, Figures};
use rusqlite::{Connection, Row, params};

use super::{known, one};
use crate::{Details, Error, Seq, spelling, sql};

pub(super) fn insert(connection: &Connection, seq: Seq, details: &Details) -> Result<(), Error> {
    let figures = &details.figures;
    let nm = |length: Option<Length>| length.map(Length::nanometres);
    connection
        .prepare_cached(sql::INSERT_DESCRIPTION)?
        .execute(params![
            seq,
            details.scale.name(),
            details.car_type.as_ref().map(CarType::as_str),
            details.description,
            figures.axles.count(),
            nm(figures.body_length),
            nm(figures.length_over_couplers),
            nm(figures.truck_centres),
            nm(figures.truck_wheelbase),
            nm(figures.overhang[End::A.index()]),
            nm(figures.overhang[End::B.index()]),
            figures.wheel_code,
            figures.frame_material,
        ])?;
    for (ordinal, tag) in (0_i64..).zip(&details.tags) {
        connection
            .prepare_cached(sql::INSERT_TAG)?
            .execute(params![seq, ordinal, tag])?;
    }
    for end in End::BOTH {
        for (ordinal, shim) in (0_i64..).zip(&figures.bolster_shims[end.index()]) {
            let row = params![seq, end.to_string(), ordinal, shim.nanometres()];
            connection.prepare_cached(sql::INSERT_SHIM)?.execute(row)?;
        }
    }
    Ok(())
}

struct DescriptionRow {
    scale: String,
    car_type: Option<String>,
    description: Option<Box<str>>,
    axle_count: i64,
    lengths_nm: [Option<i64>; 6],
    wheel_code: Option<u16>,
    frame_material: Option<Box<str>>,
}

impl DescriptionRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            scale: row.get(0)?,
            car_type: row.get(1)?,
            description: row.get(2)?,
            axle_count: row.get(3)?,
            lengths_nm: [
                row.get(4)?,
                row.get(5)?,
                row.get(6)?,
                row.get(7)?,
                row.get(8)?,
                row.get(9)?,
            ],
            wheel_code: row.get(10)?,
            frame_material: row.get(11)?,
        })
    }

    fn figures(&self, seq: Seq) -> Result<Figures, Error> {
        let [
            body,
            over_couplers,
            centres,
            wheelbase,
            overhang_a,
            overhang_b,
        ] = self.lengths_nm.map(|nm| nm.map(Length::from_nanometres));
        let axles = Axles::from_count(self.axle_count);
        Ok(Figures {
            axles: known(axles, "description", seq, self.axle_count, "count of axles")?,
            body_length: body,
            length_over_couplers: over_couplers,
            truck_centres: centres,
            truck_wheelbase: wheelbase,
            overhang: [overhang_a, overhang_b],
            wheel_code: self.wheel_code,
            frame_material: self.frame_material.clone(),
            bolster_shims: [Vec::new(), Vec::new()],
        })
    }
}

pub(super) fn load(connection: &Connection, seq: Seq) -> Result<Details, Error> {
    let row = one(connection, sql::DESCRIPTION, seq, DescriptionRow::read)?;
    let mut figures = row.figures(seq)?;
    let mut statement = connection.prepare_cached(sql::SHIMS)?;
    let shims = statement.query_map([seq], |row| Ok((row.get(0)?, row.get(1)?)))?;
    for shim in shims {
        let (end, nanometres): (String, i64) = shim?;
        let end = known(
            spelling::read_end(&end),
            "description_shim",
            seq,
            &end,
            "end of a car",
        )?;
        figures.bolster_shims[end.index()].push(Length::from_nanometres(nanometres));
    }
    let mut statement = connection.prepare_cached(sql::TAGS)?;
    let tags = statement
        .query_map([seq], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    let scale = spelling::read_scale(&row.scale);
    Ok(Details {
        scale: known(scale, "description", seq, &row.scale, "scale")?,
        car_type: row.car_type.as_deref().map(CarType::new),
        description: row.description,
        tags,
        figures,
    })
}
