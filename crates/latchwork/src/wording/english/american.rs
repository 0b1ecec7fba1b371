//! British trade terms and spellings turned into American ones.

/// British and American, longer words before the words they begin with. From usage, without a source.
const PAIRS: &[(&str, &str)] = &[
    ("cast-off", "bind-off"),
    ("cast off", "bind off"),
    ("Cast off", "Bind off"),
    ("sew in", "weave in"),
    ("Sew in", "Weave in"),
    ("stocking stitch", "stockinette"),
    ("fully fashioned", "full-fashioned"),
    ("Fully fashioned", "Full-fashioned"),
    ("back stitch", "backstitch"),
    ("oversew", "whipstitch"),
    ("Oversew", "Whipstitch"),
    ("clothes pegs", "clothespins"),
    ("metre", "meter"),
    ("colour", "color"),
    ("Colour", "Color"),
    ("grey", "gray"),
    ("fibre", "fiber"),
    ("centre", "center"),
    ("towards", "toward"),
    ("licence", "license"),
    ("Licence", "License"),
    ("jumper", "sweater"),
    ("pin out", "block"),
    ("Pin out", "Block"),
];

/// Words of the catalogue in American.
pub(in crate::wording) fn american(words: &str) -> String {
    PAIRS.iter().fold(
        words.to_string(),
        |words, (british, american)| {
            if words.contains(british) { words.replace(british, american) } else { words }
        },
    )
}
