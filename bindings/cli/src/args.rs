//! What is typed at a desk: the commands, and what each may be given.

use crate::{bundle, close, device, look, receipt, sun, time_token};
use clap::{Parser, Subcommand, ValueEnum};
use sidelong_core::record::words::{Locale, Scope};
use std::path::PathBuf;

/// The notebook of a mobile car detailer, from a desk.
///
/// A phone keeps the record as a signed log to which entries are only added. This command records from files, lists,
/// shows and reports what is on record, joins another phone's record, and checks that nothing was changed.
#[derive(Debug, Parser)]
#[command(name = "sidelong", version, after_help = EXAMPLES)]
pub struct Args {
    /// Print JSON, exactly the keys that DEVELOPERS.md lists
    #[arg(long, global = true)]
    pub json: bool,
    /// Words of which country
    #[arg(long, global = true, value_enum, default_value_t = Words::Uk)]
    pub words: Words,
    #[command(subcommand)]
    pub command: Command,
}

const EXAMPLES: &str = "\
Examples:
  sidelong demo                                     an invented day of three vehicles, and a report for each
  sidelong record walk.jsonl --store my-notebook    one input a line; `sidelong record --schema` says how
  sidelong jobs --store my-notebook --search AB12
  sidelong report AB12 --store my-notebook -o report.html
  sidelong verify-log --store my-notebook";

#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Words {
    /// United Kingdom
    Uk,
    /// United States
    Us,
}

impl From<Words> for Locale {
    fn from(words: Words) -> Self {
        match words {
            Words::Uk => Self::EnGb,
            Words::Us => Self::EnUs,
        }
    }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Part {
    Outside,
    Inside,
    Wheels,
    Glass,
    EngineBay,
}

impl From<Part> for Scope {
    fn from(part: Part) -> Self {
        match part {
            Part::Outside => Self::Outside,
            Part::Inside => Self::Inside,
            Part::Wheels => Self::Wheels,
            Part::Glass => Self::Glass,
            Part::EngineBay => Self::EngineBay,
        }
    }
}

#[derive(Debug, clap::Args)]
pub struct StoreArg {
    /// Folder of the notebook
    #[arg(long, value_name = "DIR", env = "SIDELONG_STORE", default_value = "sidelong-store")]
    pub store: PathBuf,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Record an invented day of three vehicles on two phones, join them, and write the reports
    Demo {
        /// Folder to write to
        #[arg(default_value = "sidelong-demo")]
        dir: PathBuf,
    },
    /// Record a walk-around from a file of JSON Lines, one input a line
    ///
    /// Each entry is signed with the real time of recording; a time of seeing given as `observed_at` is shown as
    /// "entered later". Photos are named relative to the file. The first line that is refused ends it: file, line,
    /// field and reason are named, and what came before stays on record. Running the same file again records nothing
    /// twice.
    Record {
        /// The file, or - for standard input
        #[arg(required_unless_present = "schema")]
        file: Option<PathBuf>,
        #[command(flatten)]
        store: StoreArg,
        /// Print the JSON Schema of an input and stop
        #[arg(long)]
        schema: bool,
    },
    /// List jobs, newest first
    Jobs {
        #[command(flatten)]
        store: StoreArg,
        /// Only jobs whose plate, VIN or notes hold words that begin so
        #[arg(long, value_name = "WORDS")]
        search: Option<String>,
        /// At most this many
        #[arg(long, default_value_t = 50)]
        limit: u32,
    },
    /// Show everything on record about one job
    Show {
        /// The job: its id, the beginning of it, or words that find it
        job: String,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Write a job's condition report, one page of HTML
    Report {
        /// The job: its id, the beginning of it, or words that find it
        job: String,
        #[command(flatten)]
        store: StoreArg,
        /// Where to write it, or - for standard output
        #[arg(short, long, default_value = "report.html")]
        out: PathBuf,
        /// With the receipt that the owner keeps: for a copy that is given during the visit
        #[arg(long)]
        receipt: bool,
    },
    /// Give the owner a receipt of what is on record, or hold the record to one
    ///
    /// A receipt is a QR code and the same in letters. Whoever keeps it can show later whether all that was on record then is
    /// still there, byte for byte. Exit status 1 if it is not, or if the letters are not those of a receipt.
    Receipt {
        #[command(flatten)]
        asked: receipt::Asked,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Take in another phone's record, from its folder or from one file
    Join {
        /// The other notebook's folder, or the file that it was packed into; it is not changed
        #[arg(value_name = "OTHER")]
        dir: PathBuf,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Pack the whole record into one file, for a colleague's phone to join
    ///
    /// The key with which this notebook signs is not in it, nor anything that was erased.
    Pack {
        /// The file to write; there must be none of this name
        file: PathBuf,
        /// Without the original photos
        #[arg(long)]
        no_photos: bool,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Back the whole record up into one file that a passphrase opens
    ///
    /// The passphrase (at least 8 letters) is asked for, or taken from the variable SIDELONG_PASSPHRASE. The file is an age file;
    /// the key with which this notebook signs is not in it, nor anything that was erased.
    Backup {
        /// The file to write; there must be none of this name
        file: PathBuf,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Make a notebook from a backup, in an empty or new folder
    ///
    /// Every entry is checked. The notebook signs with a new key from here on.
    Restore {
        /// The backup; it is not changed
        file: PathBuf,
        #[command(flatten)]
        store: StoreArg,
    },
    /// List the jobs of one day, with how far each handover is
    Day {
        /// The date, for example 2026-06-09
        date: String,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Open a job for every vehicle of a fleet's list (CSV) that has none open
    ///
    /// The first line names the columns: body (needed), plate, VIN, stock, finish, colour, note. A row that cannot be used
    /// is told by its line and keeps no other row back. Giving the same list again opens nothing twice.
    ImportFleet {
        /// The list
        file: PathBuf,
        #[command(flatten)]
        store: StoreArg,
        /// What the visits deal with (may be given again)
        #[arg(long, value_enum, default_values_t = [Part::Outside])]
        scope: Vec<Part>,
    },
    /// Say who records from here on, or ask who does
    Recorder {
        /// The person's name
        name: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Say whose record this is, for the head of reports, or ask
    Business {
        /// The business's name
        name: Option<String>,
        /// Address, telephone, whatever belongs there
        #[arg(long, requires = "name")]
        details: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Erase what is older than you keep it; without --yes it only says what would go
    ///
    /// For example `--keep inside-photos=12 --keep outside-photos=72 --keep texts=72`, in months since the visit was over.
    /// Nothing of a job goes while a dispute is open. Copies in archives, exports and on other phones are not reached.
    Purge {
        /// What is kept for how many months: inside-photos, outside-photos or texts
        #[arg(long, value_name = "KIND=MONTHS", required = true)]
        keep: Vec<String>,
        #[command(flatten)]
        store: StoreArg,
        /// Do it
        #[arg(long)]
        yes: bool,
    },
    /// Erase photos or texts of one job, for a reason that stays on record
    Erase {
        /// The job: its id, the beginning of it, or words that find it
        job: String,
        /// What: inside-photos, outside-photos or texts (may be given again)
        #[arg(long, required = true)]
        kind: Vec<String>,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Copy original photos to a folder, on a card for example
    ///
    /// Each copy is synced, read back and only then given its name; a list lies beside them. Nothing is removed, unless
    /// it is asked for: then originals go from here whose copies are read again and are what was recorded. Taking the
    /// card out and putting it in again before releasing has the card itself read.
    Archive {
        /// The folder; it is made if the one above it is there
        dir: PathBuf,
        #[command(flatten)]
        store: StoreArg,
        /// Only this job: its id, the beginning of it, or words that find it (may be given again)
        #[arg(long, value_name = "JOB")]
        job: Vec<String>,
        /// Let the originals go from here whose copies are good
        #[arg(long)]
        release: bool,
    },
    /// Take released photos back from an archive; each is looked at first
    BringBack {
        /// The archive's folder; it is not changed
        dir: PathBuf,
        #[command(flatten)]
        store: StoreArg,
        /// Only this job: its id, the beginning of it, or words that find it (may be given again)
        #[arg(long, value_name = "JOB")]
        job: Vec<String>,
    },
    /// Write everything on record as plain files that need no program of ours
    Export {
        /// An empty folder, or a new one
        dir: PathBuf,
        #[command(flatten)]
        store: StoreArg,
    },
    /// End a visit: its closing commits every entry before it, and what could be seen of each panel
    ///
    /// It is co-signed with a key of this desk's own, a software key in the file cosign.key beside the seed. Of a visit that
    /// was ended here before nothing is recorded anew; what its closing lacks of that is asked for again.
    Close {
        #[command(flatten)]
        asked: close::Asked,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Write what is on record about a job as a bundle that others can check: a folder, or a zip
    ///
    /// It holds the page, the entries as they were signed, the photos, and the proofs; it is signed with this notebook's key.
    /// With --only, chosen entries or photos are disclosed and the others are counted. data/VERIFY.txt in it says how to
    /// check it without this program.
    Bundle {
        #[command(flatten)]
        wanted: bundle::Wanted,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Check a bundle: what holds, what does not, and what it cannot show
    ///
    /// One line a claim: PASS, FAIL or NOT PROVEN, with a code that stays. No notebook and no network is needed, and nothing is
    /// written but what is asked for. Exit status: 0 nothing failed; 1 something failed; 2 nothing failed and a claim named with --require is
    /// not proven; 3 it is no bundle, or cannot be read.
    Verify {
        #[command(flatten)]
        asked: bundle::Asked,
    },
    /// Say where the sun stands at a place and time, and when it rises and sets
    Sun(sun::Sun),
    /// What a look could have shown, what was seen, and where to look next
    #[command(subcommand)]
    Look(look::Look),
    /// Plan a coating: who applies and levels which section when
    ///
    /// The file is JSON: `people` [{"name"}], `sections` [{"name","layers":[{"apply_s","wait_least_s","wait_most_s","level_s",
    /// "cure_least_s","cure_most_s","person","applied","levelled"}]}], `open_limit` (1), `hand_over` (false), `now_s` (0),
    /// `late_allowed` (false), `from_s` of people and sections (0). Whole seconds. What has begun is given as `applied` and `levelled`
    /// {"person","start_s","end_s"}, without an end while it runs. The plan finishes as soon as was found; if nothing
    /// fits, the windows that break are named and the exit status is 1.
    ///
    /// With --job, the schedule that is on record, beside what was done until now (`make_schedule` of `sidelong record` puts
    /// one there, and makes it anew).
    Schedule {
        /// The file, or - for standard input
        #[arg(required_unless_present = "job", conflicts_with = "job")]
        file: Option<PathBuf>,
        /// The job: its id, the beginning of it, or words that find it
        #[arg(long)]
        job: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Dew point of air, and how far a panel lies above it
    ///
    /// By Hyland and Wexler (ASHRAE), -40 to 60 °C and 1 to 100 %. `margin_c` is panel minus dew point; `meets_margin` says whether
    /// that is at least 3 °C.
    #[command(allow_negative_numbers = true)]
    DewPoint {
        /// Air, °C
        #[arg(long, value_name = "CELSIUS")]
        air_c: f64,
        /// Relative humidity, %
        #[arg(long, value_name = "PERCENT")]
        rh: f64,
        /// Panel, °C
        #[arg(long, value_name = "CELSIUS")]
        panel_c: Option<f64>,
    },
    /// Put agreed work into order, from surfaces, findings and product sheets
    ///
    /// The file is JSON: `surfaces` (each a `place` and a `kind`, with `findings`, `readings_um` and what else is known),
    /// `agreed` (each a `step` and the places that it is `on`, with a `sheet` by name and version), and where wanted `sheets`,
    /// `zones` for cloths, `facts`. What a sheet leaves out is common practice, no source, and is listed as such.
    ///
    /// With --job, the work that is agreed on record and still waits, with what was found.
    Plan {
        /// The file
        #[arg(required_unless_present = "job", conflicts_with = "job")]
        file: Option<PathBuf>,
        /// The job: its id, the beginning of it, or words that find it
        #[arg(long)]
        job: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Say how the shop works, from a file of JSON, or ask
    ///
    /// `floor_um` (under it no machine without a reason and consent; 90), `budget_um` (what may come off over a paint's life; 8),
    /// `chemical_first` (`tar-remover` or `iron-remover`), `zones` for cloths, cleanest first (each a `name` and its `uses`).
    Shop {
        /// The file
        file: Option<PathBuf>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// What is due now: open sections, the next one on top; of one job also what was late and the five clocks after the last layer
    Clocks {
        /// Only this job: its id, the beginning of it, or words that find it
        #[arg(long, value_name = "JOB")]
        job: Option<String>,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Which cars had a lot, and under what conditions
    ///
    /// A lot that reads alike (0 and O, 1 and I, spaces and dashes) is found too, and shown as it was typed.
    Lots {
        /// The lot as it is printed
        lot: String,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Write a job's due dates for the owner's own calendar (iCalendar, RFC 5545)
    Calendar {
        /// The job: its id, the beginning of it, or words that find it
        job: String,
        /// Where to write it, or - for standard output
        #[arg(short, long, default_value = "aftercare.ics")]
        out: PathBuf,
        #[command(flatten)]
        store: StoreArg,
    },
    /// Have a log's head stamped by a time-stamp authority (RFC 3161): ask, and take the answer in
    #[command(subcommand)]
    TimeToken(time_token::TimeToken),
    /// The phones of the crew: list them, say that one was added, retired or lost
    #[command(subcommand)]
    Device(device::Device),
    /// Look through everything that was recorded, byte for byte
    VerifyLog {
        #[command(flatten)]
        store: StoreArg,
    },
}
