//! The workshop page: a local web server over a folder of documents. Pages are made here; the knitting is the maker's.
//!
//! Documents in the folder are the truth. Beside them a journal (SQLite) keeps what the knitter counted at the machine
//! and every version of a document, for undo. What takes long to work out is kept in the platform's folder for such
//! things (`store`), which the program at the terminal shares.

mod assets;
mod authority;
mod books;
mod cloths;
mod door;
mod folder;
mod guard;
mod journal;
mod kept;
mod made;
mod only;
mod pages;
mod photograph;
mod remembered;
mod rested;
mod routes;
mod said;
mod shared;
mod store;
mod work;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use tokio::net::TcpListener;

pub use photograph::photograph;
pub use rested::{Rests, pictures, set};
pub use said::speak;
pub use store::Store;

/// How the workshop is opened.
#[derive(Debug, Clone)]
pub struct Opening {
    /// The folder of documents.
    pub folder: PathBuf,
    /// The port; 0 takes any that is free, none the folder's own.
    pub port: Option<u16>,
    /// Whether devices on the home network may be paired.
    pub share: bool,
    /// Whether they are spoken to encrypted.
    pub tls: bool,
}

/// What the knitter is told when the workshop is open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The address for this machine.
    pub address: String,
    /// The address for other devices and the code that pairs them, when shared.
    pub shared: Option<(String, String)>,
}

/// Between two looks at the journal's file while nobody counts.
const LOOKS: Duration = Duration::from_secs(2);

/// Opens the workshop and serves it until the program ends. `ready` is called once with its address, `say` with what is
/// to be said while it is open.
///
/// # Errors
/// When the folder cannot be used or is open already ([`std::io::ErrorKind::ResourceBusy`], with its address),
/// or no port can be had.
pub fn open(opening: &Opening, ready: impl FnOnce(&Opened), say: fn(&str)) -> std::io::Result<()> {
    let only = only::Only::take(&opening.folder)?;
    let journal = journal::Journal::open(&opening.folder)?;
    let folder = folder::Folder::new(opening.folder.clone());
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    runtime.block_on(async {
        let host: IpAddr = if opening.share { Ipv4Addr::UNSPECIFIED.into() } else { Ipv4Addr::LOCALHOST.into() };
        let name = journal.folder().map_err(|unkept| match unkept {
            journal::Unkept::Held => std::io::Error::other("another program holds the journal"),
            journal::Unkept::Failed(why) => std::io::Error::other(why),
        })?;
        let remembered = remembered::Remembered::of(&name);
        let listener = listener(host, opening.port, remembered.port()).await?;
        let port = listener.local_addr()?.port();
        if opening.port.is_none() {
            remembered.at_port(port);
        }
        let own = guard::own_address();
        let authority = match remembered.place() {
            _ if !opening.tls => None,
            Some(place) => Some(authority::Authority::of(place, own)?),
            None => {
                return Err(std::io::Error::other("encryption needs a folder of the platform's to keep its key in"));
            }
        };
        let scheme = if authority.is_some() { "https" } else { "http" };
        let guard = guard::Guard::new(port, opening.share, Instant::now(), (&name, remembered))?;
        let address = format!("http://127.0.0.1:{port}/");
        only.at(&address);
        ready(&Opened { address, shared: guard.code().map(|code| (format!("{scheme}://{own}:{port}/"), code)) });
        let (certificate, acceptor) = authority.map(|a| (a.certificate, a.acceptor)).unzip();
        let workshop = shared::Shared::new(folder, journal, guard.vouched_by(certificate), say);
        tokio::spawn(watch(workshop.clone()));
        door::serve(listener, acceptor, routes::routes(workshop)).await
    })
}

/// The ports of folders that have none yet: the first that is free from here on. IANA has nothing registered there
/// (from memory).
const OURS: core::ops::Range<u16> = 7419..7450;

/// Listens on the port that is asked for, on the one that the folder had before, or on the next of ours that is free:
/// a tablet's address must last.
async fn listener(host: IpAddr, asked: Option<u16>, before: Option<u16>) -> std::io::Result<TcpListener> {
    if let Some(port) = asked {
        return TcpListener::bind(SocketAddr::new(host, port)).await;
    }
    for port in before.into_iter().chain(OURS) {
        if let Ok(listener) = TcpListener::bind(SocketAddr::new(host, port)).await {
            return Ok(listener);
        }
    }
    TcpListener::bind(SocketAddr::new(host, 0)).await
}

/// Watches the journal's file, so that what is counted is soon in a new one if it is lost.
async fn watch(workshop: shared::Workshop) {
    let mut told = None;
    loop {
        let looked = workshop.clone();
        let loss = routes::off(move || looked.journal.look()).await.flatten();
        if let Some(loss) = loss.filter(|l| told.as_ref() != Some(l)) {
            (workshop.say)(&said::told_loss(&loss));
            workshop.tell_all();
            told = Some(loss);
        }
        tokio::time::sleep(LOOKS).await;
    }
}

/// Does jobs on as many threads as the machine has, each taking the next that is left.
pub fn side_by_side(count: usize, job: &(dyn Fn(usize) + Sync)) {
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(count);
    if workers < 2 {
        return (0..count).for_each(job);
    }
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                loop {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    if i >= count {
                        break;
                    }
                    job(i);
                }
            });
        }
    });
}
