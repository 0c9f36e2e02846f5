//! The files of the workspace that the rules look at, read once.
//!
//! Build output, hidden folders (but not `.cargo` and `.github`) and links are left alone.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// Kinds of file that people write and read as text. Data tables are checked by their own tests.
const READ: [&str; 13] = [
    "rs", "toml", "md", "sql", "css", "js", "ts", "html", "typ", "sh", "yml", "yaml", "py",
];
const SKIPPED_FOLDERS: [&str; 4] = ["target", "node_modules", "built", "__pycache__"];
const HIDDEN_BUT_OURS: [&str; 2] = [".cargo", ".github"];

/// The tree, in the order of the paths.
#[derive(Debug)]
pub(super) struct Tree {
    root: PathBuf,
    files: Vec<SourceFile>,
}

/// One file; the path counts from the root, with `/`.
#[derive(Debug)]
pub(super) struct SourceFile {
    pub(super) path: String,
    pub(super) text: String,
}

impl Tree {
    pub(super) fn read(root: &Path) -> Result<Self> {
        let mut tree = Self {
            root: root.to_path_buf(),
            files: Vec::new(),
        };
        tree.read_folder("")?;
        tree.files.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(tree)
    }

    pub(super) fn files(&self) -> &[SourceFile] {
        &self.files
    }

    /// The text of one file, if it is there.
    pub(super) fn text(&self, path: &str) -> Option<&str> {
        self.files
            .iter()
            .find(|file| file.path == path)
            .map(|file| file.text.as_str())
    }

    pub(super) fn exists(&self, path: &str) -> bool {
        self.root.join(path).exists()
    }

    fn read_folder(&mut self, folder: &str) -> Result<()> {
        let place = self.root.join(folder);
        let entries = fs::read_dir(&place)
            .with_context(|| format!("the folder {} cannot be listed", place.display()))?;
        for entry in entries {
            let entry = entry.with_context(|| format!("in {}", place.display()))?;
            let kind = entry
                .file_type()
                .with_context(|| format!("in {}", place.display()))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            let path = if folder.is_empty() {
                name.clone()
            } else {
                format!("{folder}/{name}")
            };
            if kind.is_dir() && enters(&name) {
                self.read_folder(&path)?;
            } else if kind.is_file() && reads(&name) {
                let text = fs::read_to_string(entry.path())
                    .with_context(|| format!("{path} cannot be read as UTF-8 text"))?;
                self.files.push(SourceFile { path, text });
            }
        }
        Ok(())
    }
}

fn enters(folder: &str) -> bool {
    !SKIPPED_FOLDERS.contains(&folder)
        && (!folder.starts_with('.') || HIDDEN_BUT_OURS.contains(&folder))
}

fn reads(name: &str) -> bool {
    name.rsplit_once('.')
        .is_some_and(|(_, extension)| READ.contains(&extension))
}
