//! The photograph that a design names: read beside its document, and made ready for print.

use std::path::Path;

use latchwork::design::Design;
use latchwork::fact::DesignFact;
use latchwork::handout::Photograph;
use latchwork::notice::Notice;
use latchwork_print::{MOST_MEGABYTES, NoPhoto, photo};

/// How large the photograph's file is and when it was written, so that prints of two photographs are told apart.
pub(crate) fn taken(design: &Design, folder: &Path) -> Option<(u64, std::time::SystemTime)> {
    let about = std::fs::metadata(folder.join(&design.publication.photo.as_ref()?.file)).ok()?;
    Some((about.len(), about.modified().ok()?))
}

/// The photograph as a JPEG, and what it shows; none where the design names none.
///
/// # Errors
/// What is wrong with it, at its line.
pub fn photograph(design: &Design, folder: &Path) -> Result<Option<Photograph>, Box<Notice>> {
    let Some(named) = &design.publication.photo else { return Ok(None) };
    let file = named.file.clone();
    let fault = |fact| Box::new(Notice::error(named.span, fact));
    let path = folder.join(&file);
    let unread = |e: std::io::Error| fault(DesignFact::PhotoNotRead { file: file.clone(), why: e.to_string() });
    let about = std::fs::metadata(&path).map_err(unread)?;
    let megabytes = about.len().div_ceil(1_000_000);
    if megabytes > MOST_MEGABYTES {
        return Err(fault(DesignFact::PhotoTooLarge { file: file.clone(), megabytes, most: MOST_MEGABYTES }));
    }
    let bytes = std::fs::read(&path).map_err(unread)?;
    let jpeg = photo(&bytes).map_err(|why| match why {
        NoPhoto::NotOne => fault(DesignFact::PhotoIsNone { file: file.clone() }),
        NoPhoto::TooWide { megapixels, most } => {
            fault(DesignFact::PhotoTooWide { file: file.clone(), megapixels, most })
        }
    })?;
    let shows = if named.shows.is_empty() { design.title.clone() } else { named.shows.clone() };
    Ok(Some(Photograph { jpeg, shows }))
}
