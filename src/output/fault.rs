//! What can stop a site from being published.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Why nothing was published. Displayed as one line; the former site is whole in every case.
#[derive(Debug)]
pub enum OutputFault {
    /// A path inside the site cannot be used.
    BadPath {
        /// The path, as the site has it.
        path: String,
        /// What is wrong with it.
        fault: PathFault,
    },
    /// The folder to publish to has no name of its own, such as `/` or `..`.
    NoName {
        /// The path given.
        out: PathBuf,
    },
    /// The folder that should hold the published one does not exist.
    ParentMissing {
        /// That folder.
        parent: PathBuf,
    },
    /// A link stands where the site should go.
    IsLink {
        /// The path given.
        out: PathBuf,
    },
    /// Something that is not a folder stands where the site should go.
    IsFile {
        /// The path given.
        out: PathBuf,
    },
    /// The folder has content and no marker.
    NotMade {
        /// The folder.
        folder: PathBuf,
    },
    /// The folder's marker cannot be understood.
    UnknownMarker {
        /// The marker file.
        marker: PathBuf,
    },
    /// The folder was made here, and holds something that was not.
    ForeignFile {
        /// What does not belong.
        file: PathBuf,
    },
    /// Another publisher did not finish in time.
    Busy {
        /// The folder to publish to.
        out: PathBuf,
        /// How long it was waited for.
        waited: Duration,
    },
    /// The system refused.
    Refused {
        /// What was tried, as in "cannot …".
        action: &'static str,
        /// With which file or folder.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
}

/// What is wrong with a path inside a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PathFault {
    /// It leaves the site or is not in plain form: absolute, `.`, `..`, an empty part, a backslash, a drive.
    NotPlain,
    /// It has a control character.
    ControlCharacter,
    /// It is the name of the marker.
    Reserved,
    /// Two files have it.
    Twice,
    /// It is a file and a folder at once.
    FileAndFolder,
}

impl OutputFault {
    /// For `map_err`: what the system refused.
    pub(super) fn refused(action: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        move |cause| Self::Refused { action, path: path.to_owned(), cause }
    }
}

impl fmt::Display for OutputFault {
    fn fmt(&self, line: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BadPath { path, fault } => write!(line, "the site has a file with the path {path:?}, {fault}"),
            Self::NoName { out } => {
                write!(line, "cannot publish to {}: give the path of a folder by its name", out.display())
            }
            Self::ParentMissing { parent } => {
                write!(line, "cannot publish into {}: there is no such folder", parent.display())
            }
            Self::IsLink { out } => write!(line, "will not replace {}: it is a link", out.display()),
            Self::IsFile { out } => write!(line, "will not replace {}: it is not a folder", out.display()),
            Self::NotMade { folder } => {
                write!(line, "will not replace {}: it has content that was not published here", folder.display())
            }
            Self::UnknownMarker { marker } => {
                write!(line, "will not replace the folder of {}: that file is not understood", marker.display())
            }
            Self::ForeignFile { file } => {
                write!(line, "will not replace the folder that holds {}: move that away first", file.display())
            }
            Self::Busy { out, waited } => {
                write!(
                    line,
                    "gave up after {} s: {} is being published by another run",
                    waited.as_secs(),
                    out.display()
                )
            }
            Self::Refused { action, path, cause } => write!(line, "cannot {action} {}: {cause}", path.display()),
        }
    }
}

impl fmt::Display for PathFault {
    fn fmt(&self, line: &mut fmt::Formatter<'_>) -> fmt::Result {
        line.write_str(match self {
            Self::NotPlain => "which is not a plain path inside the site",
            Self::ControlCharacter => "which has a control character",
            Self::Reserved => "which is kept for the list of files",
            Self::Twice => "which another file has too",
            Self::FileAndFolder => "which is a folder of other files too",
        })
    }
}

impl std::error::Error for OutputFault {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Refused { cause, .. } => Some(cause),
            _ => None,
        }
    }
}
