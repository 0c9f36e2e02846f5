//! `gradeworthy sample`: the invented club as files to try things on.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::Args;
use gradeworthy_demo::climb::MakeUp;

use super::terminal;

/// Write the invented sample club into a folder
#[derive(Debug, Args)]
pub(crate) struct Sample {
    /// The folder; it is made where it does not exist, and must not hold files of these names
    folder: PathBuf,
    /// How many cars
    #[arg(long, default_value_t = gradeworthy_demo::CARS)]
    #[arg(value_parser = clap::value_parser!(u64).range(12..=100_000))]
    cars: u64,
}

impl Sample {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let fleet = gradeworthy_demo::fleet(gradeworthy_demo::SEED, self.cars);
        let mut files = vec![
            ("sheet.csv", gradeworthy_demo::csv(&fleet)),
            ("rules.toml", gradeworthy_demo::rule_book()),
            ("shop.toml", gradeworthy_demo::SHOP.to_owned()),
            ("line.toml", gradeworthy_demo::climb::LINE.to_owned()),
            ("power.toml", gradeworthy_demo::climb::POWER.to_owned()),
            (
                "train.toml",
                gradeworthy_demo::climb::train(&fleet, MakeUp::Wrong),
            ),
            (
                "train-mended.toml",
                gradeworthy_demo::climb::train(&fleet, MakeUp::Mended),
            ),
        ];
        let names = [
            "scene-start.toml",
            "scene-helper.toml",
            "scene-power.toml",
            "scene-stop.toml",
        ];
        let scenes = gradeworthy_demo::climb::SCENES.map(|(_, text)| text.to_owned());
        files.extend(names.into_iter().zip(scenes));
        std::fs::create_dir_all(&self.folder)
            .with_context(|| format!("cannot make {}", self.folder.display()))?;
        for (name, _) in &files {
            let path = self.folder.join(name);
            if path.exists() {
                bail!("{} is there already; nothing was written", path.display());
            }
        }
        let mut said = String::new();
        for (name, text) in &files {
            let path = self.folder.join(name);
            std::fs::write(&path, text)
                .with_context(|| format!("cannot write {}", path.display()))?;
            said += &format!("{}\n", path.display());
        }
        said += "Everything in these files is invented.\n";
        terminal::print(&said)?;
        Ok(ExitCode::SUCCESS)
    }
}
