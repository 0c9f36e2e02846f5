//! Bundles the scripts of the pages: one bundle a page, minified, under a name that carries the hash
//! of its content, and a table of them for `src/script.rs`.
//!
//! Every file `scripts/src/<page>.ts` is a page's script; folders beside it hold what pages share.
//! The packages named in `scripts/package-lock.json` are installed into the build folder, and only
//! when that file has changed; nothing is written into the source tree.

use std::env;
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

/// What npm reads to install the same packages everywhere.
const PACKAGE_FILES: [&str; 3] = [".npmrc", "package.json", "package-lock.json"];
/// The oldest browsers the scripts are written down to. ASSUMED: a club's tablet that still gets a
/// browser of 2022; an older one has the pages without scripts.
const TARGET: &str = "--target=es2022";

fn main() -> ExitCode {
    match bundle() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            for line in why.lines() {
                println!("cargo::error={line}");
            }
            ExitCode::FAILURE
        }
    }
}

fn bundle() -> Result<(), String> {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=scripts/src");
    println!("cargo::rerun-if-changed=scripts/tsconfig.json");
    for file in PACKAGE_FILES {
        println!("cargo::rerun-if-changed=scripts/{file}");
    }
    let sources = folder("CARGO_MANIFEST_DIR")?.join("scripts");
    let out = folder("OUT_DIR")?;
    let packages = out.join("packages");
    install(&sources, &packages)?;
    let bundles = out.join("bundles");
    run_esbuild(&sources, &packages, &bundles)?;
    let table = table(&bundles)?;
    fs::write(out.join("scripts.rs"), table).map_err(|error| said(&out, &error))
}

fn folder(variable: &str) -> Result<PathBuf, String> {
    #[expect(
        clippy::disallowed_methods,
        reason = "cargo tells a build script its folders by the environment"
    )]
    env::var(variable)
        .map(PathBuf::from)
        .map_err(|error| format!("cargo did not set {variable}: {error}"))
}

/// Brings the packages, unless those of this very lock file are there already.
fn install(sources: &Path, packages: &Path) -> Result<(), String> {
    let lock = sources.join("package-lock.json");
    let wanted = fs::read(&lock).map_err(|error| said(&lock, &error))?;
    // Copied once more when all is installed, so that an install that was cut short does not count.
    let installed = packages.join("installed-lock.json");
    if fs::read(&installed).is_ok_and(|there| there == wanted) {
        return Ok(());
    }
    fs::create_dir_all(packages).map_err(|error| said(packages, &error))?;
    for file in PACKAGE_FILES {
        let from = sources.join(file);
        fs::copy(&from, packages.join(file)).map_err(|error| said(&from, &error))?;
    }
    // No package may run anything of its own here, and what only checks the scripts is left out.
    let arguments = ["ci", "--ignore-scripts", "--omit=dev", "--prefer-offline"];
    let npm = if cfg!(windows) { "npm.cmd" } else { "npm" };
    run(Command::new(npm).args(arguments).current_dir(packages))?;
    fs::write(&installed, wanted).map_err(|error| said(&installed, &error))
}

fn run_esbuild(sources: &Path, packages: &Path, bundles: &Path) -> Result<(), String> {
    match fs::remove_dir_all(bundles) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(said(bundles, &error)),
        Err(_) | Ok(()) => {}
    }
    let modules = packages.join("node_modules");
    let mut esbuild = Command::new("node");
    esbuild
        .arg(modules.join("esbuild").join("bin").join("esbuild"))
        .args(files_in(&sources.join("src"), "ts")?)
        .args(["--bundle", "--minify", "--format=esm", "--charset=utf8"])
        .args([TARGET, "--entry-names=[name]-[hash]", "--log-level=warning"])
        .arg(format!("--outdir={}", bundles.display()))
        // Sources stand in the tree and packages in the build folder; this is where they meet.
        .env("NODE_PATH", modules);
    run(&mut esbuild)
}

/// The files of a folder with this ending, in the order of their names.
fn files_in(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, String> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(|error| said(folder, &error))? {
        let path = entry.map_err(|error| said(folder, &error))?.path();
        if path.is_file() && path.extension().is_some_and(|own| own == ending) {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// A constant for each bundle, named for its page, and the list of them all.
fn table(bundles: &Path) -> Result<String, String> {
    let mut constants = String::new();
    let mut names = Vec::new();
    for path in files_in(bundles, "js")? {
        let file = path.file_name().unwrap_or_default().to_string_lossy();
        let Some((page, _hash)) = file.rsplit_once('-') else {
            return Err(format!("esbuild wrote {file}, whose name carries no hash"));
        };
        let name = page.replace('-', "_").to_uppercase();
        let text = path.display().to_string();
        let written = writeln!(
            constants,
            "/// The script `{page}.ts`.\npub(crate) const {name}: Script = Script {{ \
             name: {file:?}, text: include_str!({text:?}) }};"
        );
        written.map_err(|error| error.to_string())?;
        names.push(name);
    }
    let list = names.join(", ");
    Ok(format!("{constants}const ALL: &[Script] = &[{list}];\n"))
}

fn run(command: &mut Command) -> Result<(), String> {
    let program = command.get_program().to_string_lossy().into_owned();
    let output = command.output().map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => format!(
            "the pages' scripts are bundled by Node, and `{program}` is not on the PATH\n\
             install Node 20 or newer with npm (Debian, Ubuntu: `apt-get install nodejs npm`) and \
             build again"
        ),
        _ => format!("`{program}` cannot be started: {error}"),
    })?;
    if output.status.success() {
        return Ok(());
    }
    let words: Vec<_> = command
        .get_args()
        .map(|own| own.to_string_lossy())
        .collect();
    Err(format!(
        "`{program} {}` failed ({})\n{}{}",
        words.join(" "),
        output.status,
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr),
    ))
}

fn said(path: &Path, error: &io::Error) -> String {
    format!("{}: {error}", path.display())
}
