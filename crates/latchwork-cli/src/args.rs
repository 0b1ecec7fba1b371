//! What can be asked on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

const EXAMPLES: &str = "Examples:
  latchwork make                           the built-in deck hat: needles, rows, yarn and handout in out/deck-hat
  latchwork make scarf.kdl --size long     one size of your own design
  latchwork make scarf.kdl --large         the handout in large type, to read at the bench
  latchwork new mittens                    a starter design, mittens.kdl, with every line explained
  latchwork rehearse scarf.kdl             prove that it knits; print nothing
  latchwork show scarf.kdl --stage plan    every step in words";

/// From one design: needles, rows, settings, yarn and a handout for every size, rehearsed needle by needle.
#[derive(Debug, Parser)]
#[command(name = "latchwork", version, after_help = EXAMPLES)]
pub(crate) struct Latchwork {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Work out every size, rehearse it, and write the handout.
    #[command(
        after_help = "Examples:\n  latchwork make\n  latchwork make hat.kdl --size 54,57 --out hats\n  latchwork make hat.kdl --one-size --paper a4\n  latchwork make hat.kdl --words"
    )]
    Make(Make),
    /// Rehearse a design, pass notes or a plan file, and tell what was found.
    #[command(
        after_help = "Examples:\n  latchwork rehearse hat.kdl\n  latchwork rehearse cuff.notes --mend\n  latchwork rehearse hat.kdl --size 57 --at 42 --svg beds\n  latchwork rehearse cuff.notes --chart\n  latchwork rehearse plan.json\n  latchwork rehearse hat.kdl --size 57 --json > run.json"
    )]
    Rehearse(Rehearse),
    /// Write a starter design, NAME.kdl, with every line explained; or one begun from pass notes.
    #[command(after_help = "Examples:\n  latchwork new mittens\n  latchwork new cuff --from cuff.notes")]
    New {
        /// The name; the file is NAME.kdl in this folder.
        name: String,
        /// Begin from pass notes: their rows and needles become lengths and widths by their swatches.
        #[arg(long, value_name = "NOTES")]
        from: Option<PathBuf>,
    },
    /// Show a stage of the work as text.
    #[command(after_help = "Example:\n  latchwork show hat.kdl --stage stitches --size 57")]
    Show(Show),
    /// Make up designs, work them out, print them in words and read the words back; tell any that differ.
    #[command(after_help = "Example:\n  latchwork trial --designs 10000 --seed 1")]
    Trial(Trial),
    /// List the built-in fabrics.
    Fabrics,
    /// List the rules of the rehearsal: what each finds, and where its limit comes from.
    Rules,
    /// List the built-in machines.
    Machines,
    /// List the built-in tables of body sizes.
    Sizes,
    /// Print completions for a shell.
    #[command(
        after_help = "Example:\n  latchwork completions bash > ~/.local/share/bash-completion/completions/latchwork"
    )]
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
}

#[derive(Debug, Args)]
pub(crate) struct Trial {
    /// How many designs.
    #[arg(long, default_value_t = 1000)]
    pub(crate) designs: u64,
    /// The number of the first; the same numbers make the same designs.
    #[arg(long, default_value_t = 1)]
    pub(crate) seed: u64,
    /// Print the design of this number instead.
    #[arg(long, value_name = "NUMBER")]
    pub(crate) show: Option<u64>,
}

#[derive(Debug, Args)]
pub(crate) struct Which {
    /// The design, or pass notes; without one, the built-in deck hat.
    pub(crate) design: Option<PathBuf>,
    /// Only these sizes, by name; several with commas.
    #[arg(long, value_delimiter = ',', value_name = "NAME")]
    pub(crate) size: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct Make {
    #[command(flatten)]
    pub(crate) which: Which,
    /// Where the files go; by default out/ and the design's name.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// A handout for each size, without brackets.
    #[arg(long)]
    pub(crate) one_size: bool,
    /// Large type, to read at the bench.
    #[arg(long)]
    pub(crate) large: bool,
    /// Print settings also in the machine owner's own words.
    #[arg(long)]
    pub(crate) words: bool,
    /// Paper of the handout.
    #[arg(long, value_enum, default_value_t = Sheets::Both)]
    pub(crate) paper: Sheets,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Sheets {
    /// ISO A4.
    A4,
    /// US Letter.
    Letter,
    /// Both.
    Both,
}

#[derive(Debug, Args)]
pub(crate) struct Rehearse {
    #[command(flatten)]
    pub(crate) which: Which,
    /// Print every loop as JSON (docs/plan.md describes it).
    #[arg(long, group = "shown")]
    pub(crate) json: bool,
    /// Mend what can be mended by itself: writes the corrected document beside this one, and rehearses it.
    #[arg(long, group = "shown")]
    pub(crate) mend: bool,
    /// Show the beds after this step (latchwork show --stage plan numbers them).
    #[arg(long, value_name = "STEP", group = "shown", group = "drawn")]
    pub(crate) at: Option<usize>,
    /// Show the piece on squared paper, and one repeat of each fabric as a yarn path.
    #[arg(long, group = "shown", group = "drawn")]
    pub(crate) chart: bool,
    /// Print the thread's crossings as a planar-diagram code (docs/thread.md describes it).
    #[arg(long, group = "shown")]
    pub(crate) thread: bool,
    /// With --at, --chart or --thread: only this piece.
    #[arg(long, value_name = "NAME", requires = "shown")]
    pub(crate) piece: Option<String>,
    /// With --at or --chart: also draw it, as SVG files in this folder.
    #[arg(long, value_name = "DIR", requires = "drawn")]
    pub(crate) svg: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct Show {
    #[command(flatten)]
    pub(crate) which: Which,
    /// The stage.
    #[arg(long, value_enum)]
    pub(crate) stage: Stage,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Stage {
    /// What the author means.
    Design,
    /// Millimetres.
    Draft,
    /// Needles and rows.
    Stitches,
    /// Steps, in words.
    Plan,
    /// Loops pass by pass, and findings.
    Run,
}
