//! What can be asked on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

const EXAMPLES: &str = "Examples:
  latchwork make                           the built-in deck hat: needles, rows, yarn and handout in out/deck-hat
  latchwork make scarf.kdl --size long     one size of your own design
  latchwork make scarf.kdl --large         the handout in large type, to read at the bench
  latchwork new cowl                       a design to change, cowl.kdl, from a starter; latchwork starters lists them
  latchwork rehearse scarf.kdl             prove that it knits; print nothing
  latchwork show scarf.kdl --stage plan    every step in words
  latchwork fit scarf.kdl                  how it fits, sews up, and how long it takes
  latchwork yarn scarf.kdl --in-hand 43g   what the yarn in hand makes
  latchwork swatch plan \"1x1 rib\" …       a card to knit a swatch from";

/// One design gives needles, rows, settings, yarn and a handout for every size, rehearsed needle by needle.
#[derive(Debug, Parser)]
#[command(name = "latchwork", version, after_help = EXAMPLES)]
pub(crate) struct Latchwork {
    /// Language of handout, cues, findings and pages (marked is for tests).
    #[arg(long, global = true, hide = true, value_enum, default_value_t)]
    pub(crate) language: Tongue,
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// A language by its name.
#[derive(Debug, Clone, Copy, Default, ValueEnum)]
pub(crate) enum Tongue {
    /// English.
    #[default]
    English,
    /// English between marks.
    Marked,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Work out every size, rehearse it, and write the handout.
    #[command(
        after_help = "Examples:\n  latchwork make\n  latchwork make hat.kdl --size 54,57 --out hats\n  latchwork make hat.kdl --one-size --paper a4\n  latchwork make hat.kdl --words"
    )]
    Make(Make),
    /// Rehearse a design, pass notes or a plan file, and report the findings.
    #[command(
        after_help = "Examples:\n  latchwork rehearse hat.kdl\n  latchwork rehearse cuff.notes --mend\n  latchwork rehearse hat.kdl --size 57 --at 42 --svg beds\n  latchwork rehearse cuff.notes --chart\n  latchwork rehearse plan.json\n  latchwork rehearse hat.kdl --size 57 --json > run.json"
    )]
    Rehearse(Rehearse),
    /// Begin a design: from a starter, from pass notes, or a small one with every line explained.
    #[command(
        after_help = "Examples:\n  latchwork new mittens\n  latchwork new cowl --name winter-cowl --machine bulky\n  latchwork new watch-cap --measure head-girth=57cm\n  latchwork new cuff --from cuff.notes"
    )]
    New(crate::starter::New),
    /// List the starters: designs of garments to begin from.
    #[command(
        after_help = "Examples:\n  latchwork starters\n  latchwork starters watch-cap mitten\n  latchwork starters --gallery pictures"
    )]
    Starters(crate::starter::List),
    /// Show a stage of the work as text.
    #[command(after_help = "Example:\n  latchwork show hat.kdl --stage stitches --size 57")]
    Show(Show),
    /// Show how every size fits, how it is sewn and how long it takes, or try the sizes on a person.
    #[command(
        after_help = "Examples:\n  latchwork fit hat.kdl\n  latchwork fit hat.kdl --size 57 --person ada.kdl\n  latchwork fit hat.kdl --json > fit.json\n  latchwork fit hat.kdl --svg pictures"
    )]
    Fit(Fit),
    /// Show the yarn a design takes, what the yarn in hand makes, and which other yarns suit.
    #[command(
        after_help = "Examples:\n  latchwork yarn hat.kdl\n  latchwork yarn mitts.kdl --in-hand 43g --sure 90\n  latchwork yarn scarf.kdl --remnant red=40g --remnant blue=60g\n  latchwork yarn hat.kdl --instead cupboard.kdl"
    )]
    Yarn(YarnOf),
    /// Show what a fabric looks like and measures, worked out from the yarn.
    #[command(
        after_help = "Examples:\n  latchwork cloth hat.kdl --size 57 --out cloth\n  latchwork cloth hat.kdl --size 57 --face public --view 3cm,5cm,4cm --out cloth\n  latchwork cloth --fabric plain --tex 250 --loop 14.4mm\n  latchwork cloth --fabric \"half cardigan\" --tex 250 --loop 12mm --out cloth\n  latchwork cloth --fabric \"1x1 rib\" --tex 200 --loop 11mm --json"
    )]
    Cloth(Cloth),
    /// Open the workshop page: design, look, rehearse, print, and knit by cues, in a browser.
    #[command(after_help = "Examples:\n  latchwork open\n  latchwork open designs --share")]
    Open(Open),
    /// Plan, add, show, predict and compare swatches.
    #[command(subcommand)]
    Swatch(Swatch),
    /// Compare a test knit with its prediction, and add it to the book as a swatch.
    #[command(
        after_help = "Example:\n  latchwork came-out hat.kdl --size 57 --piece hat --stretch body --width 50.1cm --length 14.9cm --weight 67g --state washed"
    )]
    CameOut(CameOut),
    /// Work a design out again for another machine or yarn, to be swatched before you rely on it.
    #[command(
        after_help = "Examples:\n  latchwork restate hat.kdl --machine mid --yarn \"pier wool=210m/100g\"\n  latchwork restate hat.kdl --yarn cupboard.kdl"
    )]
    Restate(Restate),
    /// Make up designs, print them in words, read the words back, and report any that differ.
    #[command(after_help = "Example:\n  latchwork trial --designs 10000 --seed 1")]
    Trial(Trial),
    /// Make a picture into a fabric of two yarns, in true proportion.
    #[command(
        after_help = "Examples:\n  latchwork repeat beacon.png --needles 24 --gauge-of stairs --as stranded\n  latchwork repeat beacon.png --needles 48 --rows 40 --times 2 --centred --gauge-of stairs --as stranded\n  latchwork repeat waves.jpg --needles 32 --gauge-of plain --as mosaic --name \"harbour waves\""
    )]
    Repeat(crate::repeat::Repeat),
    /// Draw the card of a fabric for your pattern device, at your own measures
    #[command(
        after_help = "Example:\n  latchwork card \"honeycomb tuck\" --width 24 --across 4.5 --up 5 --hole 3.5 --sides 17 17 --ends 20 20 --ahead 5"
    )]
    Card(crate::card::Card),
    /// List the fabrics by kind, or show one: needles, rows, hand work, both faces.
    #[command(
        after_help = "Examples:\n  latchwork fabrics\n  latchwork fabrics \"half cardigan\"\n  latchwork fabrics \"my tuck\" --design hat.kdl"
    )]
    Fabrics {
        /// The fabric to show.
        name: Option<String>,
        /// Include the fabrics of this design and of the folder beside it.
        #[arg(long, value_name = "FILE")]
        design: Option<PathBuf>,
    },
    /// List the rules of the rehearsal: what each finds, and the source of its limit.
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
    /// Number of designs.
    #[arg(long, default_value_t = 1000)]
    pub(crate) designs: u64,
    /// Number of the first design. The same numbers give the same designs.
    #[arg(long, default_value_t = 1)]
    pub(crate) seed: u64,
    /// Print the design of this number instead.
    #[arg(long, value_name = "NUMBER")]
    pub(crate) show: Option<u64>,
}

#[derive(Debug, Args)]
pub(crate) struct Which {
    /// The design or pass notes. Default: the built-in deck hat.
    pub(crate) design: Option<PathBuf>,
    /// Only these sizes, by name, with commas between.
    #[arg(long, value_delimiter = ',', value_name = "NAME")]
    pub(crate) size: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct Make {
    #[command(flatten)]
    pub(crate) which: Which,
    /// Folder for the files. Default: out/ and the name of the design.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Print a handout for each size, without brackets.
    #[arg(long)]
    pub(crate) one_size: bool,
    /// Large type, to read at the bench.
    #[arg(long)]
    pub(crate) large: bool,
    /// Also print, for each size, two pages to hang at the machine.
    #[arg(long)]
    pub(crate) bench: bool,
    /// Print the author's copy: with proofs, findings, and who each size fits.
    #[arg(long)]
    pub(crate) author: bool,
    /// Also print settings in the words of your machine's manual.
    #[arg(long)]
    pub(crate) words: bool,
    /// Paper of the handout.
    #[arg(long, value_enum, default_value_t = Sheets::Both)]
    pub(crate) paper: Sheets,
    /// Print how long each stage took.
    #[arg(long)]
    pub(crate) timings: bool,
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
    /// Print every loop as JSON; see docs/plan.md.
    #[arg(long, group = "shown")]
    pub(crate) json: bool,
    /// Fix what can be fixed automatically: write a corrected document beside this one, and rehearse it.
    #[arg(long, group = "shown")]
    pub(crate) mend: bool,
    /// Show the beds after this step; latchwork show --stage plan numbers the steps.
    #[arg(long, value_name = "STEP", group = "shown", group = "drawn")]
    pub(crate) at: Option<usize>,
    /// Show the piece on squared paper, and one repeat of each fabric as a yarn path.
    #[arg(long, group = "shown", group = "drawn")]
    pub(crate) chart: bool,
    /// Print the thread's crossings as a planar-diagram code; see docs/thread.md.
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
    /// The design as read.
    Design,
    /// Millimetres.
    Draft,
    /// Needles and rows.
    Stitches,
    /// Steps, in words.
    Plan,
    /// Loops row by row, and findings.
    Run,
}

#[derive(Debug, Args)]
pub(crate) struct Fit {
    #[command(flatten)]
    pub(crate) which: Which,
    /// Measurements of a person; see docs/fit.md.
    #[arg(long, value_name = "FILE")]
    pub(crate) person: Option<PathBuf>,
    /// Print everything as JSON.
    #[arg(long, conflicts_with = "person")]
    pub(crate) json: bool,
    /// Also draw the sizes against surveyed bodies, and the sewing maps, as SVG files in this folder.
    #[arg(long, value_name = "DIR")]
    pub(crate) svg: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct Cloth {
    /// The design whose pieces are shown. Default, without --fabric: the built-in deck hat.
    #[command(flatten)]
    pub(crate) which: Which,
    /// Show one repeat of this fabric instead.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["design", "size", "face", "view"], requires = "tex", requires = "loop_length")]
    pub(crate) fabric: Option<String>,
    /// Yarn count in tex. Pass notes without a swatch need it too.
    #[arg(long, value_name = "TEX", requires = "loop_length")]
    pub(crate) tex: Option<f64>,
    /// Yarn in one knitted loop, such as 14.4mm: unravel ten loops of a swatch and measure.
    #[arg(long = "loop", value_name = "LENGTH", requires = "tex")]
    pub(crate) loop_length: Option<String>,
    /// Draw only this face of the pieces.
    #[arg(long, value_name = "FACE")]
    pub(crate) face: Option<FaceOf>,
    /// Zoom in on each piece: distance from its left end, distance up, and width, such as 2cm,5cm,3cm.
    #[arg(long, value_name = "LEFT,UP,WIDE")]
    pub(crate) view: Option<String>,
    /// Pixels across.
    #[arg(long, value_name = "NUMBER", default_value_t = 1600)]
    pub(crate) pixels: usize,
    /// Yarn in a tuck as a share of that in a knitted loop.
    #[arg(long, value_name = "SHARE", default_value_t = latchwork::measure::TUCK)]
    pub(crate) tuck: f64,
    /// Fibre, from which the thickness of the yarn follows.
    #[arg(long, value_name = "FIBRE", default_value = "wool")]
    pub(crate) fibre: String,
    /// Share of the yarn's cross-section that is fibre: worsted 0.5 to 0.6, soft woollen 0.35 to 0.45.
    #[arg(long, value_name = "SHARE", default_value_t = 0.6)]
    pub(crate) packing: f64,
    /// Hard thread without friction and with no fitted figures. Default: soft yarn, flat.
    #[arg(long)]
    pub(crate) hard: bool,
    /// Coarser: quicker and less accurate; see docs/cloth.md.
    #[arg(long)]
    pub(crate) coarse: bool,
    /// Print everything as JSON, with the yarn path and its contacts.
    #[arg(long)]
    pub(crate) json: bool,
    /// Draw both faces as PNG files in this folder, small pieces also as SVG, and the thread as glTF.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Colour of the yarn in pictures, as #rrggbb.
    #[arg(long, value_name = "COLOUR", default_value = "#8b9499")]
    pub(crate) colour: String,
    /// Plies twisted together in pictures; 1 is plain yarn.
    #[arg(long, value_name = "PLIES", default_value_t = 2)]
    pub(crate) plies: u32,
    /// Repeats across in pictures.
    #[arg(long, value_name = "NUMBER", default_value_t = 5)]
    pub(crate) repeats: u32,
}

#[derive(Debug, Args)]
pub(crate) struct Open {
    /// Folder of designs, made if missing. Default: workshop/.
    pub(crate) folder: Option<PathBuf>,
    /// Do not open a browser.
    #[arg(long)]
    pub(crate) no_browser: bool,
    /// Let devices on the home network connect, with a code.
    #[arg(long)]
    pub(crate) share: bool,
    /// Encrypt the connection, with a certificate that the devices need to trust.
    #[arg(long, requires = "share")]
    pub(crate) tls: bool,
    /// Port. Default: one that stays the same for this folder. 0: any free port.
    #[arg(long, value_name = "NUMBER")]
    pub(crate) port: Option<u16>,
}

/// A face of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum FaceOf {
    /// The one worn outside.
    Public,
    /// The other.
    Back,
}

#[derive(Debug, Args)]
pub(crate) struct YarnOf {
    #[command(flatten)]
    pub(crate) which: Which,
    /// Yarn you have, such as 43g: shows the largest size, the longest section, and where to stop.
    #[arg(long, value_name = "WEIGHT")]
    pub(crate) in_hand: Option<String>,
    /// Which yarn of the design, if it has several.
    #[arg(long, value_name = "NAME")]
    pub(crate) yarn: Option<String>,
    /// Certainty of not running out, in percent.
    #[arg(long, default_value_t = 95.0, value_name = "PERCENT")]
    pub(crate) sure: f64,
    /// A remnant of the same thickness, such as red=12g. Repeat it for stripes, in order.
    #[arg(long, value_name = "NAME=WEIGHT")]
    pub(crate) remnant: Vec<String>,
    /// A file of yarns to compare with this one.
    #[arg(long, value_name = "FILE")]
    pub(crate) instead: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Swatch {
    /// Work out, rehearse and print a card for a swatch of each fabric.
    #[command(
        after_help = "Examples:\n  latchwork swatch plan \"1x1 rib\" \"half cardigan\" --yarn \"harbour sock\" --count 420m/100g\n  latchwork swatch plan \"1x1 rib\" --yarn \"harbour sock\" --count 420m/100g --stitch-size 2 --stitch-size 3 --stitch-size 4"
    )]
    Plan(SwatchCard),
    /// Print the figures to expect of a swatch, before you knit it.
    #[command(
        after_help = "Examples:\n  latchwork swatch expect \"1x1 rib\" --yarn \"harbour sock\" --count 420m/100g\n  latchwork swatch expect \"half cardigan\" \"full cardigan\" --yarn \"pier wool\" --count 105m/50g --machine mid"
    )]
    Expect(SwatchYarn),
    /// Add a measured swatch to the book.
    #[command(
        after_help = "Example:\n  latchwork swatch add \"1x1 rib\" --yarn \"harbour sock\" --count 420m/100g --stitch-size 3 --needles 40 --passes 60 --width 8.3cm --length 13.6cm --weight 14g --whole 60x90 --state washed"
    )]
    Add(Box<SwatchAdd>),
    /// Print what the book says: gauge, loops and their spread, changes of state, stitch sizes.
    Show {
        /// Only this fabric.
        fabric: Option<String>,
        /// The folder of the book.
        #[arg(long, value_name = "DIR", default_value = "swatches")]
        book: PathBuf,
    },
    /// Predict the gauge of a fabric from other swatches of the same yarn.
    #[command(
        after_help = "Examples:\n  latchwork swatch predict \"full cardigan\"\n  latchwork swatch predict milano --yarn \"pilot sock\" --loop 11.5mm --stitch-size 4 --add"
    )]
    Predict(Predict),
    /// Compare two fabrics, or two stitch sizes of one.
    #[command(after_help = "Example:\n  latchwork swatch compare \"1x1 rib at 2\" \"1x1 rib at 4\"")]
    Compare {
        /// The first: a fabric, with "at" and a stitch size if you like.
        first: String,
        /// The second.
        second: String,
        /// Only in this yarn.
        #[arg(long, value_name = "NAME")]
        yarn: Option<String>,
        /// The folder of the book.
        #[arg(long, value_name = "DIR", default_value = "swatches")]
        book: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(crate) struct Predict {
    /// The fabric.
    pub(crate) fabric: String,
    /// In which yarn, if the book has several.
    #[arg(long, value_name = "NAME")]
    pub(crate) yarn: Option<String>,
    /// Yarn in one knitted loop, such as 11.5mm. Default: as in the swatches.
    #[arg(long = "loop", value_name = "LENGTH")]
    pub(crate) loop_length: Option<String>,
    /// Yarn in a tuck as a share of that in a knitted loop. Default: as in the swatches.
    #[arg(long, value_name = "SHARE")]
    pub(crate) tuck: Option<f64>,
    /// Stitch size to add it under, such as 4 or 4/3.
    #[arg(long, value_name = "SIZE", requires = "add")]
    pub(crate) stitch_size: Option<String>,
    /// Add it to the book, marked as never knitted, so that a design can use it.
    #[arg(long, requires = "stitch_size")]
    pub(crate) add: bool,
    /// The folder of the book.
    #[arg(long, value_name = "DIR", default_value = "swatches")]
    pub(crate) book: PathBuf,
}

/// Fabrics in a yarn on a machine.
#[derive(Debug, Args)]
pub(crate) struct SwatchYarn {
    /// The fabrics.
    #[arg(required = true)]
    pub(crate) fabric: Vec<String>,
    /// The yarn's name.
    #[arg(long, value_name = "NAME")]
    pub(crate) yarn: String,
    /// Its count, such as 420m/100g or 238tex.
    #[arg(long, value_name = "COUNT")]
    pub(crate) count: String,
    /// The machine.
    #[arg(long, default_value = "standard", value_name = "CLASS")]
    pub(crate) machine: String,
}

#[derive(Debug, Args)]
pub(crate) struct SwatchCard {
    #[command(flatten)]
    pub(crate) of: SwatchYarn,
    /// Stitch size, such as 3, "3 1/3" or 4/3. Repeat it for several in one swatch.
    #[arg(long, value_name = "SIZE")]
    pub(crate) stitch_size: Vec<String>,
    /// Folder for the cards.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Large type.
    #[arg(long)]
    pub(crate) large: bool,
    /// Paper.
    #[arg(long, value_enum, default_value_t = Sheets::Both)]
    pub(crate) paper: Sheets,
}

#[derive(Debug, Args)]
pub(crate) struct SwatchAdd {
    /// The fabric.
    pub(crate) fabric: String,
    /// The yarn's name.
    #[arg(long, value_name = "NAME")]
    pub(crate) yarn: String,
    /// Its count, if the book does not have the yarn yet.
    #[arg(long, value_name = "COUNT")]
    pub(crate) count: Option<String>,
    /// The machine, if not that of the book. Default for a new yarn: standard.
    #[arg(long, value_name = "CLASS")]
    pub(crate) machine: Option<String>,
    /// Its stitch size, such as 3, "3 1/3" or 4/3.
    #[arg(long, value_name = "SIZE")]
    pub(crate) stitch_size: String,
    /// Needles between the marks, on both beds together.
    #[arg(long)]
    pub(crate) needles: u32,
    /// Rows between the contrast rows.
    #[arg(long)]
    pub(crate) passes: u32,
    /// Width between the marks, such as 8.3cm.
    #[arg(long)]
    pub(crate) width: String,
    /// Length between the contrast rows.
    #[arg(long)]
    pub(crate) length: String,
    /// Width between the marks, stretched as far as it goes comfortably.
    #[arg(long)]
    pub(crate) stretched: Option<String>,
    /// Weight of the whole swatch.
    #[arg(long)]
    pub(crate) weight: Option<String>,
    /// All its needles and rows, such as 60x90.
    #[arg(long, value_name = "NEEDLESxPASSES")]
    pub(crate) whole: Option<String>,
    /// Yarn pulled out of knitted loops, such as 61cm=50.
    #[arg(long, value_name = "LENGTH=LOOPS")]
    pub(crate) unravelled: Vec<String>,
    /// Yarn pulled out of tucks.
    #[arg(long, value_name = "LENGTH=TUCKS")]
    pub(crate) unravelled_tucks: Vec<String>,
    /// "as knitted", rested or washed.
    #[arg(long)]
    pub(crate) state: String,
    /// Date.
    #[arg(long)]
    pub(crate) date: Option<String>,
    /// A note.
    #[arg(long)]
    pub(crate) note: Option<String>,
    /// The folder of the book.
    #[arg(long, value_name = "DIR", default_value = "swatches")]
    pub(crate) book: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct CameOut {
    /// The design.
    pub(crate) design: Option<PathBuf>,
    /// The size that was knitted.
    #[arg(long, value_name = "NAME")]
    pub(crate) size: String,
    /// The piece.
    #[arg(long, value_name = "NAME")]
    pub(crate) piece: Option<String>,
    /// The section.
    #[arg(long, value_name = "NAME")]
    pub(crate) stretch: Option<String>,
    /// Its width at the start, flat, before sewing.
    #[arg(long)]
    pub(crate) width: String,
    /// Its length.
    #[arg(long)]
    pub(crate) length: String,
    /// Rows knitted, if not those of the handout.
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=20000))]
    pub(crate) rows: Option<u32>,
    /// Weight of the whole piece, with its tails.
    #[arg(long)]
    pub(crate) weight: Option<String>,
    /// "as knitted", rested or washed.
    #[arg(long)]
    pub(crate) state: String,
    /// Date.
    #[arg(long)]
    pub(crate) date: Option<String>,
    /// Add it to the book although it is small.
    #[arg(long)]
    pub(crate) even_so: bool,
    /// Print the drift and write nothing.
    #[arg(long)]
    pub(crate) only_tell: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Restate {
    /// The design. Default: the built-in deck hat.
    pub(crate) design: Option<PathBuf>,
    /// The machine: fine, standard, mid or bulky.
    #[arg(long, value_name = "CLASS")]
    pub(crate) machine: Option<String>,
    /// The yarn: a name and count such as "pier wool=210m/100g", or a file with one.
    #[arg(long, value_name = "YARN")]
    pub(crate) yarn: Option<String>,
    /// Output file. Default: beside the design.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
}
