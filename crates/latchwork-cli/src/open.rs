//! `open`: the workshop page over a folder.

use std::io::ErrorKind;

use latchwork_web::{Opened, Opening, open};

use crate::Done;
use crate::args;
use crate::report::{say, tell_line};

pub(crate) fn opened(a: &args::Open) -> Done {
    let folder = a.folder.clone().unwrap_or_else(|| "workshop".into());
    let opening = Opening { folder, port: a.port, share: a.share, tls: a.tls };
    let ready = |opened: &Opened| {
        say(&format!("The workshop is open at {}", opened.address));
        if let Some((address, code)) = &opened.shared {
            say(&format!("On another device in the house: {address} with the code {code}"));
            say("A code lasts 10 minutes. The page \"Other devices\" shows the current one.");
            if let Ok(qr) = qrcode::QrCode::new(address) {
                say(&qr.render::<qrcode::render::unicode::Dense1x2>().build());
            }
        }
        say("Close it with Ctrl-C. No counted row is lost.");
        if !a.no_browser && !browse(&opened.address) {
            tell_line("No browser could be opened; open the address yourself.");
        }
    };
    match open(&opening, ready, say) {
        Ok(()) => Done::Fine,
        Err(e) => Done::Usage(match e.kind() {
            ErrorKind::AddrInUse => {
                let port = opening.port.unwrap_or_default();
                format!("Port {port} is in use. Leave --port out to use a free one.")
            }
            ErrorKind::AlreadyExists | ErrorKind::NotADirectory => {
                format!("{} is a file: name a folder.", opening.folder.display())
            }
            ErrorKind::ResourceBusy => e.to_string(),
            _ => format!("The workshop could not be opened in {}: {e}.", opening.folder.display()),
        }),
    }
}

/// Asks the system to show an address.
fn browse(address: &str) -> bool {
    let with = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(target_os = "windows") {
        "explorer"
    } else {
        "xdg-open"
    };
    let mut command = std::process::Command::new(with);
    command.arg(address).stdout(std::process::Stdio::null()).stderr(std::process::Stdio::null()).spawn().is_ok()
}
