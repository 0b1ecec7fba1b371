//! Sentences for findings in a design.

use super::fabric::stands;
use super::listed;
use crate::fact::{Apart, DesignFact as F, NoDevice, NoGauge, Unlike};
use crate::units::dial;
use crate::wording::{Language, Told, say};

fn meant(told: Told, near: Option<&String>, t: Language) -> Told {
    match near {
        Some(near) => told.hint(say!(t, "Did you mean \"{near}\"?", near)),
        None => told,
    }
}

pub(in crate::wording) fn no_gauge(why: &NoGauge, t: Language) -> String {
    let size = |x: f64| format!("{:.1}", x / 3.0).trim_end_matches(".0").to_string();
    match why {
        NoGauge::NoSwatch => {
            say!(
                t,
                "Needles and rows come from a measured swatch of this fabric. Swatches of other fabrics do not help."
            )
        }
        NoGauge::Outside { reach: (a, b) } if a < b => {
            let (least, most) = (size(*a), size(*b));
            say!(
                t,
                "Its swatches are at stitch sizes {least} to {most}, the mean of both beds. Sizes between can be worked out; sizes outside cannot.",
                least,
                most
            )
        }
        NoGauge::Outside { reach: (a, _) } => {
            let only = size(*a);
            say!(t, "It was swatched only at {only}. One stitch size does not predict another.", only)
        }
        NoGauge::OtherBalance => {
            say!(
                t,
                "Its swatches have another difference in stitch size between main bed and ribber, which changes the fabric."
            )
        }
    }
}

#[expect(clippy::too_many_lines, reason = "an arm a fact")]
pub(super) fn told(fact: &F, t: Language) -> Told {
    match fact {
        F::PhotoName => Told::new(say!(t, "A photograph is a file beside the document."))
            .hint(say!(t, "Put it in the same folder, and write only its name: photo \"hat.jpg\"")),
        F::WantsAbbreviation => {
            Told::new(say!(t, "An abbreviation needs two texts: the short form and what it stands for."))
                .hint(say!(t, "Write abbreviation \"cm\" \"centimetres\""))
        }
        F::PhotoNotRead { file, why } => Told::new(say!(t, "The photograph {file} cannot be read: {why}.", file, why))
            .hint(say!(t, "Put it in the folder of the document, or delete the line \"photo\".")),
        F::PhotoTooLarge { file, megabytes, most } => Told::new(say!(
            t,
            "The photograph {file} has {megabytes} MB. The most is {most} MB.",
            file,
            megabytes,
            most
        ))
        .hint(say!(t, "Save it smaller: 2,400 pixels across is enough for a page.")),
        F::PhotoTooWide { file, megapixels, most } => Told::new(say!(
            t,
            "The photograph {file} has {megapixels} megapixels. The most is {most}.",
            file,
            megapixels,
            most
        ))
        .hint(say!(t, "Save it smaller: 2,400 pixels across is enough for a page.")),
        F::PhotoIsNone { file } => Told::new(say!(t, "{file} is not a photograph that can be read.", file))
            .hint(say!(t, "Save it as JPEG or PNG.")),
        F::NoMachine => Told::new(say!(t, "The design names no machine."))
            .hint(say!(t, "Write machine \"standard\", \"fine\", \"mid\" or \"bulky\"")),
        F::StitchSizesReversed => {
            Told::new(say!(t, "The smallest stitch size comes first.")).hint(say!(t, "Write stitch-sizes 0 10"))
        }
        F::WantsTwoStitchSizes => {
            Told::new(say!(t, "\"stitch-sizes\" needs 2 numbers.")).hint(say!(t, "Write stitch-sizes 0 10"))
        }
        F::OwnWordsEnd => Told::new(say!(
            t,
            "Your own words cannot contain a quotation mark: the handout puts them between quotation marks."
        ))
        .hint(say!(t, "Write them without it.")),
        F::WantsOwnWords => Told::new(say!(t, "\"say\" needs a neutral word and your own."))
            .hint(say!(t, "Write say \"tuck\" \"the word in your manual\"")),
        F::WantsTwoWeights { word, example } => {
            Told::new(say!(t, "\"{word}\" needs 2 weights.", word)).hint(say!(t, "Write {example}", example))
        }
        F::WeightBand => Told::new(say!(
            t,
            "The weight band needs the least and the most weight for each needle, from 1 g to 200 g."
        ))
        .hint(say!(t, "Write weight-band (g)2 (g)12")),
        F::AimOutsideBand { least, most } => Told::new(say!(t, "The weight in the plan is outside the weight band."))
            .because(say!(t, "The band is {least} g to {most} g for each needle that carries a loop.", least, most))
            .hint(say!(t, "Write weight-aim (g)5 (g)3 for both beds and then main bed only, or widen weight-band")),
        F::NoStitchSize => Told::new(say!(t, "This is not a stitch size."))
            .because(say!(t, "A stitch size is a number from 0 to 10, in thirds."))
            .hint(say!(t, "Write 3, \"3 1/3\" or \"3 2/3\"")),
        F::NoYarn => Told::new(say!(t, "The design has no yarn."))
            .hint(say!(t, "Write yarn \"sock wool\" {{ count (\"m/100g\")420; }}")),
        F::NoCount { name } => Told::new(say!(t, "The yarn \"{name}\" has no count.", name))
            .because(say!(t, "Without it, loop length and yarn cannot be worked out."))
            .hint(say!(t, "Write count (\"m/100g\")420, as the ball band says, or count (tex)238")),
        F::FibresDoNotAddUp { name, total } => {
            Told::new(say!(t, "The fibres of \"{name}\" add up to {total:.0}%, not 100%.", name, total))
                .hint(say!(t, "Give each fibre its share: fibre \"wool\" (percent)75"))
        }
        F::NoColour => Told::new(say!(t, "A colour is written as # and 6 hexadecimal digits."))
            .hint(say!(t, "Write colour \"#8B9499\"")),
        F::WantsStitchSize => Told::new(say!(t, "\"stitch-size\" needs 1 number, or 2: main bed, ribber."))
            .hint(say!(t, "Write stitch-size 3 3")),
        F::StitchSizeNotOnDial { least, most } => Told::new(say!(t, "This machine has no such stitch size."))
            .because(say!(t, "Its stitch sizes run from {least} to {most}.", least, most)),
        F::NoSizes => Told::new(say!(t, "The design has no sizes."))
            .hint(say!(t, "Write sizes {{ size \"one size\" {{ head-girth (cm)56 }} }}")),
        F::TableHasSource => {
            Told::new(say!(t, "A built-in table brings its own source.")).hint(say!(t, "Delete this line."))
        }
        F::SizeName => Told::new(say!(t, "The name of a size has no comma in it, and no space before or after it."))
            .hint(say!(t, "Give it a plain name.")),
        F::TooManySizes => Told::new(say!(t, "More than 24 sizes do not fit on a handout.")),
        F::TitleEmpty => Told::new(say!(t, "The title is empty.")).hint(say!(t, "Write title \"Deck hat\"")),
        F::NoTitle => {
            Told::new(say!(t, "The design has no title.")).hint(say!(t, "Write title \"Deck hat\" as the first line."))
        }
        F::NotesNameNoMachine => {
            Told::new(say!(t, "The notes name no machine. A standard one is assumed: 4.5 mm, 200 needles a bed."))
                .hint(say!(t, "Write machine \"standard\", \"fine\", \"mid\" or \"bulky\" as the first line."))
        }
        F::NoPerson => Told::new(say!(t, "This document describes no person."))
            .hint(say!(t, "Write person \"Ada\" {{ survey \"women\"; hand-girth (cm)19; }}")),
        F::OnePersonOnly => {
            Told::new(say!(t, "A person's document describes 1 person and nothing else.")).hint(say!(t, "Delete this."))
        }
        F::NothingMeasured { name } => Told::new(say!(t, "\"{name}\" has no measurements.", name))
            .hint(say!(t, "Write at least one, such as hand-girth (cm)19 or head-girth (cm)56")),
        F::TooManyPieces => Told::new(say!(t, "A design of more than 40 pieces does not fit on a handout."))
            .hint(say!(t, "Divide it into several designs.")),
        F::NoPieces => Told::new(say!(t, "The design has no pieces."))
            .hint(say!(t, "Write piece \"scarf\" {{ … }}; `latchwork new` writes one to start from.")),
        F::PieceWithoutYarn { yarn } => {
            Told::new(say!(t, "This piece does not name its yarn.")).hint(say!(t, "Write yarn {yarn}", yarn))
        }
        F::YarnsAndStripes => {
            Told::new(say!(t, "A section has yarns or stripes, not both.")).hint(say!(t, "Delete one of the two."))
        }
        F::FabricWithoutYarns { fabric, takes, named } => {
            let told = Told::new(say!(t, "{fabric} takes {takes} yarns.", fabric, takes));
            if named.len() < *takes {
                told.hint(say!(
                    t,
                    "Write {takes} yarns of the design, and name them here: yarns \"sea\" \"foam\"",
                    takes
                ))
            } else {
                told.hint(say!(t, "Write yarns {names}", names = named.join(" ")))
            }
        }
        F::YarnTwice { name } => Told::new(say!(t, "\"{name}\" is named twice.", name))
            .hint(say!(t, "Each yarn of the fabric needs a yarn of its own.")),
        F::StripesOfTwoYarns { fabric, takes } => {
            Told::new(say!(t, "{fabric} takes {takes} yarns, so it cannot have stripes of one yarn.", fabric, takes))
                .hint(say!(t, "Name its yarns: yarns \"sea\" \"foam\""))
        }
        F::FreePassOneWay { fabric } => Told::new(say!(
            t,
            "A free pass would turn the carriage round, and {fabric} needs each pass to go its own way.",
            fabric
        ))
        .hint(say!(t, "Leave out free-pass. The yarn is then cut and joined.")),
        F::FreePassAndCarriage { stretch } => Told::new(say!(
            t,
            "With the free passes of \"{stretch}\" the carriage may be at either side here.",
            stretch
        ))
        .hint(say!(t, "Leave out carriage. Or leave out free-pass.")),
        F::StripeWithoutRows => Told::new(say!(t, "How long this stripe lasts is not clear."))
            .hint(say!(t, "Write yarn \"sea\" rows=4, or yarn \"sea\" grams=12"))
            .hint(say!(t, "The last stripe of those by weight may have neither: it takes the rows that are left.")),
        F::StripesCount { most } => Told::new(say!(t, "Stripes need 1 to {most} lines.", most))
            .hint(say!(t, "Write stripes {{ yarn \"sea\" rows=4; yarn \"foam\" rows=2 }}")),
        F::TooManyStretches { name } => Told::new(say!(t, "The piece \"{name}\" has more than 60 sections.", name))
            .hint(say!(t, "Divide it into several pieces, or join sections of one fabric.")),
        F::NoStretches { name } => Told::new(say!(t, "The piece \"{name}\" has no sections.", name))
            .hint(say!(t, "Write stretch \"brim\" {{ fabric \"1x1 rib\"; length (cm)6 }}")),
        F::NoWidth { name } => Told::new(say!(t, "The piece \"{name}\" has no width.", name)).hint(say!(
            t,
            "Write width (cm)20, needles 51, or around \"head-girth\" (percent)-10, in the piece or in a section."
        )),
        F::NoEnding { name } => Told::new(say!(t, "The piece \"{name}\" has no ending.", name))
            .because(say!(t, "Stitches left on the needles would run."))
            .hint(say!(t, "Write ending \"loop through loop\", \"chain\", \"gather\", \"waste yarn\" or \"point\"")),
        F::TubularOfClosedOnly => {
            Told::new(say!(t, "Only a closed cast-on has tubular rows.")).hint(say!(t, "Delete tubular=."))
        }
        F::PointTooWide { name } => Told::new(say!(t, "The piece \"{name}\" cannot end in a point.", name))
            .because(say!(t, "A point takes at most 5 stitches on one needle. The last section is wider."))
            .hint(say!(t, "Give the last section decrease 2 every=4 times=…, or another ending.")),
        F::ShapedBeforeMainBed { fabric } => {
            Told::new(say!(t, "Shaped {fabric} cannot be transferred to the main bed.", fabric))
                .because(say!(
                    t,
                    "Its groups are no longer whole, so its stitches would not fall evenly on the main-bed needles."
                ))
                .hint(say!(t, "Shape the plain section instead."))
        }
        F::NoFabric { name } => Told::new(say!(t, "The section \"{name}\" has no fabric.", name))
            .hint(say!(t, "Write fabric \"1x1 rib\"; `latchwork fabrics` lists them.")),
        F::ShapedBothWays => Told::new(say!(t, "A section is shaped one way: narrower or wider."))
            .hint(say!(t, "Split it into 2 sections.")),
        F::LastFollows => Told::new(say!(t, "every= and times= already say how the shaping ends."))
            .hint(say!(t, "Delete it, or give the section more rows.")),
        F::CurveToWhere => Told::new(say!(t, "A curve leads to a width, and none is given."))
            .hint(say!(t, "Write needles, width or around beside it.")),
        F::CarriageDecided { word } => Told::new(say!(t, "carriage cannot stand beside {word}.", word))
            .because(say!(t, "Casting off is done where the carriage is; the rest is done at any side."))
            .hint(say!(t, "Leave carriage out.")),
        F::CurveMost { fabric, most } => {
            Told::new(say!(t, "{fabric} cannot be shaped {most} times at an end after one row.", fabric, most))
                .hint(say!(t, "Leave most out: once after a row."))
        }
        F::StepWithoutWhen => Told::new(say!(t, "A step says after how many rows, and how often."))
            .hint(say!(t, "Write then every=2 times=7")),
        F::CannotCastOffThere { fabric, narrower: true } => {
            Told::new(say!(t, "Stitches of {fabric} cannot be cast off at an end between rows.", fabric))
                .because(say!(t, "That is done on the main bed alone, in a fabric that repeats after every row, or in groups where the beds take turns."))
                .hint(say!(t, "Leave cast-off out, or use plain there."))
        }
        F::CannotCastOffThere { fabric, narrower: false } => {
            Told::new(say!(t, "Stitches of {fabric} cannot be cast on at an end between rows.", fabric))
                .because(say!(t, "That is done on the main bed alone, in a fabric that repeats after every row."))
                .hint(say!(t, "Leave cast-on out, or use plain there."))
        }
        F::ShapingWithoutWhen { word } => Told::new(say!(t, "This does not say when to shape."))
            .hint(say!(t, "Write {word} 2 every=4 times=5", word))
            .hint(say!(t, "or {word} 2 {{ width (cm)8 }} to spread it over the section.", word)),
        F::OnlyNarrowedByOne { fabric } => {
            Told::new(say!(t, "{fabric} can only be narrowed, by 1 stitch at an end.", fabric))
                .because(say!(t, "Its groups of needles leave no room for more."))
                .hint(say!(t, "Write decrease 1, or shape a section of 1x1 rib."))
        }
        F::TwoAtAnEnd { fabric } => {
            Told::new(say!(t, "{fabric} is shaped by 2 stitches at an end, 1 on each bed.", fabric))
                .because(say!(t, "Shaping by 1 would put the end on the other bed."))
                .hint(say!(t, "Write 2 instead of 1."))
        }
        F::EmptyNeighbours => Told::new(say!(t, "Side by side on one bed, 2 empty needles make 1 loop, not 2."))
            .hint(say!(t, "Write increase 1, twice as often.")),
        F::TakesOnly { fabric, only, asked } => {
            Told::new(say!(t, "{fabric} is shaped by {only} at an end, not {asked}.", fabric, only, asked)).hint(say!(
                t,
                "Write {only} instead of {asked}.",
                only,
                asked
            ))
        }
        F::SeamOfEdges { name, edges } => Told::new(match edges {
            0 => say!(t, "The seam \"{name}\" has no edge.", name),
            1 => say!(t, "The seam \"{name}\" has one edge.", name),
            _ => say!(t, "The seam \"{name}\" joins {edges} edges.", name, edges),
        })
        .because(say!(t, "A seam joins 2 edges."))
        .hint(say!(t, "Write two lines such as edge \"hat\" \"left\"")),
        F::SideOfNoEdge => Told::new(say!(t, "This side of the seam has no edge."))
            .hint(say!(t, "Write its edges in order: side {{ edge \"back\" \"left\" \"armhole\"; edge \"front\" \"right\" \"armhole\" }}")),
        F::FullnessBackwards => Told::new(say!(t, "The most is less than the least."))
            .hint(say!(t, "Write the least first: fullness (percent)1 (percent)3")),
        F::MiddleOfSeveral => Told::new(say!(t, "A part is placed along one row only."))
            .hint(say!(t, "Sew it to a single edge, or delete the middle.")),
        F::NoSuchOpening { piece, word } => Told::new(say!(t, "\"{piece}\" has no single {word} here.", piece, word))
            .hint(say!(t, "Name the section with the {word}.", word)),
        F::NoShoulder { piece } => Told::new(say!(t, "\"{piece}\" has no two shoulders.", piece))
            .because(say!(t, "A neck in the middle parts its last row into a left and a right one."))
            .hint(say!(t, "Write \"ending\" for its whole last row.")),
        F::SeamToItself { name } => Told::new(say!(t, "The seam \"{name}\" sews an edge to itself.", name)),
        F::WhichEdge => Told::new(say!(t, "This does not say which edge."))
            .hint(say!(t, "Write edge \"hat\" \"left\", \"right\", \"cast-on\" or \"ending\"")),
        F::NotASideEdge => Told::new(say!(t, "Only a side edge has sections.")).hint(say!(t, "Delete it.")),
        F::SectionsOfNamedEdge => {
            Told::new(say!(t, "An edge with a name has its own sections.")).hint(say!(t, "Delete it."))
        }
        F::EdgeOfBoth => Told::new(say!(t, "This edge is of one kind, and of the edges inside it."))
            .hint(say!(t, "Write edge \"top\" {{ edge \"left\"; edge \"ending\"; }}, or edge \"armhole\" \"left\" \"yoke\"")),
        F::StretchTwice => Told::new(say!(t, "This section appears twice.")).hint(say!(t, "Delete one.")),
        F::MiddleWhere => {
            Told::new(say!(t, "\"middle\" does not say where.")).hint(say!(t, "Write middle (percent)50"))
        }
        F::MiddleOfSide => Told::new(say!(t, "Only a first or last row has a place along it."))
            .hint(say!(t, "Delete it, or name the sections that are sewn.")),
        F::ClosedEnd => Told::new(say!(t, "A gathered or pointed end is not an edge to sew."))
            .hint(say!(t, "Give the piece another ending, or sew another edge.")),
        F::GraftedClosed => Told::new(say!(t, "Only live stitches can be grafted."))
            .because(say!(t, "This edge is closed."))
            .hint(say!(t, "Start or end the piece on waste yarn, or choose another method.")),
        F::SewnAlready { seam } => Told::new(say!(t, "This edge is already sewn in the seam \"{seam}\".", seam))
            .hint(say!(t, "Name other sections, or delete one of the seams.")),
        F::BothHaveMiddles { name } => Told::new(say!(t, "Both edges of \"{name}\" have a middle.", name))
            .hint(say!(t, "Keep the middle on the longer row.")),
        F::MiddlesForEach { make, piece, places } => Told::new(say!(
            t,
            "\"{piece}\" is made {make} times, and {places} named for it.",
            make,
            piece,
            places = if *places == 1 { say!(t, "1 place is") } else { say!(t, "{places} places are", places) }
        ))
        .hint(say!(t, "Give one middle for each.")),
        F::NotOfThisMachine { needle, pass, pitch } => {
            Told::new(say!(t, "This swatch cannot have been knitted on this machine."))
                .because(say!(
                    t,
                    "It would measure {needle:.2} mm a needle and {pass:.2} mm a row, on needles {pitch} mm apart.",
                    needle,
                    pass,
                    pitch
                ))
                .hint(say!(t, "Check the counts, and the width and length that belong to them."))
        }
        F::NotOfSuchLoops { length, pitch } => Told::new(say!(t, "This swatch cannot have loops of this length."))
            .because(say!(
                t,
                "Each unravelled loop would take {length:.1} mm of yarn, on needles {pitch} mm apart.",
                length,
                pitch
            ))
            .hint(say!(t, "Check the length, and the number of loops it came from.")),
        F::NoTucks { fabric } => {
            Told::new(say!(t, "There are no tucks in {fabric}.", fabric)).hint(say!(t, "Write loops=."))
        }
        F::NotOfSuchWeight { length, pitch } => Told::new(say!(t, "This swatch cannot have this weight."))
            .because(say!(
                t,
                "Each loop would take {length:.1} mm of yarn, on needles {pitch} mm apart.",
                length,
                pitch
            ))
            .hint(say!(t, "Check the weight. needles= and passes= are those of the whole swatch.")),
        F::NoYarnYet => Told::new(say!(t, "There is no yarn for this swatch."))
            .hint(say!(t, "Write yarn \"sock wool\" {{ count (\"m/100g\")420; }} before it")),
        F::SwatchWithoutYarn { yarn } => {
            Told::new(say!(t, "This swatch does not name its yarn.")).hint(say!(t, "Write yarn {yarn}", yarn))
        }
        F::SwatchWithoutStitchSize => Told::new(say!(t, "This swatch has no stitch size."))
            .hint(say!(t, "Write stitch-size 3 3: main bed, ribber")),
        F::HowMany { word, what } => Told::new(say!(t, "\"{word}\" does not say how many {what}.", word, what))
            .hint(say!(t, "Write {word} needles=40 passes=60: needles in work on both beds together, and rows", word)),
        F::NothingCounted => Told::new(say!(t, "This swatch does not say what was counted."))
            .hint(say!(t, "Write counted needles=40 passes=60")),
        F::WantsWidthAndLength => {
            Told::new(say!(t, "\"flat\" needs a width and a length.")).hint(say!(t, "Write flat (cm)16.7 (cm)16.7"))
        }
        F::NotMeasured => Told::new(say!(t, "This swatch has no measurements."))
            .hint(say!(t, "Write flat (cm)16.7 (cm)16.7: width between the marks, length between the contrast rows")),
        F::NoState => Told::new(say!(t, "This swatch does not say whether it was washed."))
            .because(say!(t, "A rib or tuck fabric changes a lot in the first wash."))
            .hint(say!(t, "Write state \"washed\", \"rested\" or \"as knitted\"")),
        F::NarrowerStretched => Told::new(say!(t, "This swatch is narrower stretched than flat."))
            .hint(say!(t, "Give the width between the marks, stretched as far as it goes comfortably.")),
        F::LoopsOfUnravelled => Told::new(say!(t, "\"unravelled\" does not say how many loops the yarn came from."))
            .hint(say!(t, "Write unravelled (cm)61 loops=50, or unravelled (cm)45 tucks=50")),
        F::WidthTwice => {
            Told::new(say!(t, "The width is given twice.")).hint(say!(t, "Keep one of needles, width and around."))
        }
        F::EaseTwice => {
            Told::new(say!(t, "The ease is given twice.")).hint(say!(t, "Keep the number, or as= for the usual ease."))
        }
        F::MeasureUnquoted => Told::new(say!(t, "The name of a body measure goes in quotation marks."))
            .hint(say!(t, "Write \"head-girth\"")),
        F::LengthTwice => Told::new(say!(t, "The length is given twice.")).hint(say!(t, "Keep rows or length.")),
        F::ShareOfWhat => Told::new(say!(t, "This does not say what it is a share of."))
            .hint(say!(t, "Write length (percent)40 of=\"head-girth\"")),
        F::OfWithoutShare => {
            Told::new(say!(t, "Only a share has an of=.")).hint(say!(t, "Write length (percent)40 of=\"head-girth\""))
        }
        F::OneLength => Told::new(say!(t, "A length has one value.")).hint(say!(t, "Delete the second.")),
        F::NoLength { name } => Told::new(say!(t, "The section \"{name}\" has no length.", name))
            .hint(say!(t, "Write length (cm)6, rows 24, or length (percent)20 of=\"head-girth\"")),
        F::MeasureMissing { name, sizes, near } => {
            let sizes = listed(sizes);
            let told = Told::new(say!(t, "The measure \"{name}\" is missing in {sizes}.", name, sizes)).hint(say!(
                t,
                "Write {name} (cm)… in that size.",
                name
            ));
            meant(told, near.as_ref(), t)
        }
        F::MadeMeasureOutside { name, size, cm } => {
            Told::new(say!(t, "\"{name}\" comes to {cm} cm in size {size}.", name, cm, size))
                .because(say!(t, "A measure is from 0.5 cm to 3 m."))
                .hint(say!(t, "Take less away, or add less."))
        }
        F::ChoiceOfOne { word } => Told::new(say!(t, "\"{word}\" chooses among two measures or more.", word))
            .hint(say!(t, "Write {word} \"chest\" \"hip\"", word)),
        F::MadeOfWhat => Told::new(say!(t, "What this measure is made of is not clear."))
            .hint(say!(t, "Write plus (percent)20 of=\"chest\"; minus (cm)2"))
            .hint(say!(t, "or larger \"chest\" \"hip\"")),
        F::NoSuchMeasure { name, near } => {
            meant(Told::new(say!(t, "No size has a measure called \"{name}\".", name)), near.as_ref(), t)
        }
        F::NotACount { known, near } => {
            let known = listed(known);
            Told::new(say!(t, "This yarn count cannot be used."))
                .because(say!(t, "It needs a number from 5 to 20,000 tex, in one of: {known}.", known))
                .hint(match near {
                    Some(near) => say!(t, "Write (\"{near}\")…", near),
                    None => say!(t, "Write count (\"m/100g\")420"),
                })
        }
        F::CastOnUnsuited { two_beds: true } => {
            Told::new(say!(t, "This cast-on does not suit a piece that starts on both beds."))
                .hint(say!(t, "Write cast-on \"closed\""))
        }
        F::CastOnUnsuited { two_beds: false } => {
            Told::new(say!(t, "This cast-on does not suit a piece that starts on the main bed only."))
                .hint(say!(t, "Write cast-on \"e-wrap\" or cast-on \"waste yarn\""))
        }
        F::CannotFollow { fabric: (fabric, to), before: (before, from) } => {
            let (from, to) = (stands(*from, t), stands(*to, t));
            Told::new(say!(t, "{fabric} cannot follow {before} on the needles.", fabric, before))
                .because(say!(
                    t,
                    "{before} uses {from}; {fabric} uses {to}. The stitches of one do not fit the needles of the other.",
                    before,
                    from,
                    fabric,
                    to
                ))
                .hint(say!(t, "Choose two fabrics with the same needles, or knit them as two pieces."))
        }
        F::NoSwatch { fabric, why } => {
            Told::new(say!(t, "There is no swatch of {fabric} in the yarn of this piece.", fabric))
                .because(no_gauge(why, t))
                .hint(say!(t, "Knit one, measure it and write swatch \"{fabric}\" {{ … }}", fabric))
        }
        F::PanelWidth => Told::new(say!(t, "How wide is the panel?"))
            .hint(say!(t, "Write needles=24, or repeats=3 for whole repeats of its fabric.")),
        F::PanelApart { fabric, panel, why } => {
            Told::new(say!(t, "{panel} cannot be knitted beside {fabric}.", panel, fabric))
                .because(apart(*why, t))
                .hint(say!(t, "Choose another fabric for the panel, or knit it as a section of its own."))
        }
        F::PanelShaped { panel } => Told::new(say!(
            t,
            "A section with a panel of {panel} is not shaped: the panel leaves needles out of work.",
            panel
        ))
        .hint(say!(t, "Choose a panel that has every needle in work, or leave out the shaping.")),
        F::PanelLength { fabric, panel, longer, refused } => {
            let percent = (longer.abs() * 100.0).round();
            let told = if *longer > 0.0 {
                say!(
                    t,
                    "The panel of {panel} comes out {percent}% longer than {fabric} over the same rows.",
                    panel,
                    percent,
                    fabric
                )
            } else {
                say!(
                    t,
                    "The panel of {panel} comes out {percent}% shorter than {fabric} over the same rows.",
                    panel,
                    percent,
                    fabric
                )
            };
            let told =
                Told::new(told).because(say!(t, "Side by side, the longer one puckers and the shorter one pulls."));
            if *refused {
                told.hint(say!(
                    t,
                    "More than 10% does not lie flat. Choose a fabric for the panel whose rows are nearer in height."
                ))
            } else {
                told.hint(say!(t, "Up to 10% can be blocked. Knit a swatch with both fabrics before you begin."))
            }
        }
        F::NotByDevice { fabric, why } => {
            let told = Told::new(say!(t, "The pattern device cannot bring the needles of {fabric} forward.", fabric));
            let hand = say!(t, "Leave out selected=: the needles are then brought forward by hand.");
            match why {
                NoDevice::None => told
                    .because(say!(t, "The machine has none."))
                    .hint(say!(t, "Give it one: machine \"standard\" {{ pattern-device needles=24; }}")),
                NoDevice::NoChart => {
                    told.because(say!(t, "Its rows are named in words or have panels; a device takes a chart."))
                }
                NoDevice::NotDrawn => {
                    told.because(say!(t, "It takes more than needles of the main bed that are selected row by row."))
                }
                NoDevice::Divides { repeat, width } => {
                    let fits: Vec<String> =
                        (1..=*width).filter(|n| width.is_multiple_of(*n)).map(|n| n.to_string()).collect();
                    told.because(say!(
                        t,
                        "Its repeat is {repeat} needles, and the device repeats after {width}.",
                        repeat,
                        width
                    ))
                    .hint(say!(t, "Draw it {widths} needles wide.", widths = fits.join(", ")))
                }
            }
            .hint(hand)
        }
        F::NotPlaced { fabric } => Told::new(say!(
            t,
            "Where {fabric} begins follows from its needles in work; it cannot be moved along the bed.",
            fabric
        ))
        .hint(say!(t, "Leave out placed=, mirrored= and whole=.")),
        F::NotSwatchedAt { fabric, size, why } => {
            let main = dial(size.0);
            let size = match size.1.map(dial) {
                None => main,
                Some(ribber) => say!(t, "{main} and {ribber}", main, ribber),
            };
            Told::new(say!(t, "The gauge of {fabric} at stitch size {size} is not known.", fabric, size))
                .because(no_gauge(why, t))
                .hint(say!(t, "Knit a swatch at this stitch size, or choose one that was swatched."))
        }
        F::CannotBeShaped { fabric, why, open } => Told::new(say!(t, "{fabric} cannot be shaped.", fabric))
            .because(why.clone().unwrap_or_else(|| say!(t, "It does not say how it is shaped.")))
            .hint(if *open {
                say!(t, "Shape a section of 1x1 rib or half cardigan instead.")
            } else {
                say!(t, "Shape a section of 2x2 or 1x1 rib instead.")
            }),
        F::OneWayOnly { fabric, narrower } => Told::new(if *narrower {
            say!(t, "{fabric} can be widened, but not narrowed.", fabric)
        } else {
            say!(t, "{fabric} can be narrowed, but not widened.", fabric)
        })
        .hint(say!(t, "Shape a section of plain or 1x1 rib instead.")),
        F::EveryDoesNotFit { fabric, rows, repeat } => {
            let below = rows / repeat * repeat;
            let above = below + repeat;
            Told::new(if *rows == 1 {
                say!(t, "{fabric} cannot be shaped every row.", fabric)
            } else {
                say!(t, "{fabric} cannot be shaped every {rows} rows.", rows, fabric)
            })
            .because(say!(t, "Its repeat is {repeat} rows, and shaping waits for the row that clears it.", repeat))
            .hint(if below == 0 {
                say!(t, "Write every={above}", above)
            } else {
                say!(t, "Write every={below} or every={above}", below, above)
            })
        }
        F::SwatchesLeftOut { yarn, file, unlike } => match unlike {
            Unlike::Yarn { there, here } => Told::new(say!(
                t,
                "The swatches of \"{yarn}\" in {file} are of another yarn, and are left out.",
                yarn,
                file
            ))
            .because(say!(t, "It is {there:.0} tex there and {here:.0} tex here.", there, here)),
            Unlike::Machine { there, here } => Told::new(say!(
                t,
                "The swatches of \"{yarn}\" in {file} are from another machine, and are left out.",
                yarn,
                file
            ))
            .because(say!(
                t,
                "They were knitted on needles {there} mm apart; this machine has {here} mm.",
                there,
                here
            )),
        }
        .hint(say!(t, "Give the yarn another name here, or run `latchwork restate` on the design.")),
        F::InFile { file, fact } => {
            let Told { message, why, hints } = super::told(fact, t);
            Told { message: format!("{file}: {message}"), why, hints }
        }
    }
}

/// Why two fabrics cannot be knitted side by side.
fn apart(why: Apart, t: Language) -> String {
    match why {
        Apart::Yarns => say!(t, "Both would have to take the same yarns in each row."),
        Apart::Needles => say!(t, "They use the two beds, or their pitch, differently."),
        Apart::Rows { ours, theirs, most } => say!(
            t,
            "Their repeats of {ours} and {theirs} rows begin again together only after more than {most} rows.",
            ours,
            theirs,
            most
        ),
        Apart::Racking => say!(t, "The ribber would have to stand at two rackings at once."),
        Apart::Direction => say!(t, "One needs the carriage to go left where the other needs it to go right."),
        Apart::Settings => say!(t, "A bed knits, and either tucks or slips, in one row: it cannot do all three."),
    }
}
