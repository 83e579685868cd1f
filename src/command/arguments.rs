//! What can be asked for.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use jiff::civil::Date;

/// Compiles a workshop's diagnostic knowledge into a proved, static reference site.
#[derive(Debug, Parser)]
#[command(name = "baybook", version, args_conflicts_with_subcommands = true)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Option<Command>,
    #[command(flatten)]
    pub(super) publish: Publish,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Proof everything, then write the site (the default)
    Publish(Publish),
    /// Proof only
    Proof(Proof),
    /// Serve the site on this computer alone, and make it anew whenever an entry is saved
    Preview(Preview),
    /// The site's search, in the terminal
    Find(Find),
    /// The decision flow of a symptom, in the terminal
    Ask(Ask),
    /// Write a new entry with its fields explained
    Draft(Draft),
    /// Rename an entry and every reference to it
    Rename(Rename),
    /// Say what a mark means, with a wrong and a right example
    Marks(Marks),
    /// Print the JSON Schema (2020-12) of the front matter, for editors
    Schema,
}

#[derive(Args, Debug)]
pub(super) struct Proof {
    /// The folder of entries
    #[arg(long, default_value = "kb", value_name = "FOLDER")]
    pub(super) kb: PathBuf,
    /// How marks are shown; text becomes short when there are more than 30
    #[arg(long, value_enum, value_name = "FORM")]
    pub(super) report: Option<Report>,
    /// Warnings count as errors
    #[arg(long)]
    pub(super) strict: bool,
    /// The day against which review dates are held (default: the computer's day)
    #[arg(long, value_name = "DATE")]
    pub(super) today: Option<Date>,
}

#[derive(Args, Debug)]
pub(super) struct Publish {
    #[command(flatten)]
    pub(super) proof: Proof,
    /// The theme: `workshop`, or a folder whose files stand in for the built-in ones
    #[arg(long, default_value = "workshop", value_name = "THEME")]
    pub(super) theme: String,
    /// The folder that the site is written to
    #[arg(long, default_value = "site-out", value_name = "FOLDER")]
    pub(super) out: PathBuf,
    /// Say at the end how long each part of the work took
    #[arg(long)]
    pub(super) timings: bool,
}

#[derive(Args, Debug)]
pub(super) struct Preview {
    /// The folder of entries
    #[arg(long, default_value = "kb", value_name = "FOLDER")]
    pub(super) kb: PathBuf,
    /// The theme: `workshop`, or a folder whose files stand in for the built-in ones
    #[arg(long, default_value = "workshop", value_name = "THEME")]
    pub(super) theme: String,
    /// The port on 127.0.0.1; 0 takes a free one
    #[arg(long, default_value_t = 0, value_name = "PORT")]
    pub(super) port: u16,
    /// The day against which review dates are held (default: the computer's day)
    #[arg(long, value_name = "DATE")]
    pub(super) today: Option<Date>,
}

#[derive(Args, Debug)]
pub(super) struct Find {
    /// The customer's words, a trade term, a trouble code or a measurement
    #[arg(required = true, value_name = "WORDS")]
    pub(super) words: Vec<String>,
    /// The vehicle: a line, a year and, as far as known, its options
    #[arg(long, value_name = "LINE:YEAR[:OPTION=VALUE,...]")]
    pub(super) vehicle: Option<String>,
    /// Only this kind: symptom, condition, characteristic, check, system, guide or word
    #[arg(long, value_name = "KIND")]
    pub(super) kind: Option<String>,
    /// How many results, at most
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub(super) limit: usize,
    /// How results are shown
    #[arg(long, value_enum, default_value = "text", value_name = "FORM")]
    pub(super) report: FindReport,
    /// The folder of entries
    #[arg(long, default_value = "kb", value_name = "FOLDER")]
    pub(super) kb: PathBuf,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum FindReport {
    /// For reading
    Text,
    /// Data
    Json,
}

#[derive(Args, Debug)]
pub(super) struct Ask {
    /// The symptom's id
    pub(super) symptom: String,
    /// The vehicle: a line, a year and, as far as known, its options
    #[arg(long, value_name = "LINE:YEAR[:OPTION=VALUE,...]")]
    pub(super) vehicle: Option<String>,
    /// An answer that is known already; may be given several times, in any order
    #[arg(long, value_name = "CHECK=ANSWER")]
    pub(super) answer: Vec<String>,
    /// The form of the answer
    #[arg(long, value_enum, default_value = "text", value_name = "FORM")]
    pub(super) report: FindReport,
    /// The folder of entries
    #[arg(long, default_value = "kb", value_name = "FOLDER")]
    pub(super) kb: PathBuf,
}

#[derive(Args, Debug)]
pub(super) struct Draft {
    /// symptom, condition, characteristic, check, system or guide
    pub(super) kind: String,
    /// The id of the new entry
    pub(super) id: String,
    /// The folder of entries
    #[arg(long, default_value = "kb", value_name = "FOLDER")]
    pub(super) kb: PathBuf,
    /// The day written into it (default: the computer's day)
    #[arg(long, value_name = "DATE")]
    pub(super) today: Option<Date>,
}

#[derive(Args, Debug)]
pub(super) struct Rename {
    /// The entry: its kind or folder, a slash and its id, such as checks/old-name
    #[arg(value_name = "KIND/OLD")]
    pub(super) entry: String,
    /// The new id
    pub(super) new: String,
    /// The folder of entries
    #[arg(long, default_value = "kb", value_name = "FOLDER")]
    pub(super) kb: PathBuf,
}

#[derive(Args, Debug)]
pub(super) struct Marks {
    /// The name of a mark; without it, all are listed
    pub(super) mark: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Report {
    /// Source lines with carets
    Text,
    /// One line a mark
    Short,
    /// Data
    Json,
    /// SARIF 2.1.0
    Sarif,
}
