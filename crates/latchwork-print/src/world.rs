//! The typesetting engine's view of the world: a few files in memory, its own fonts, no network and no clock.

use std::collections::BTreeMap;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_kit::files::{FileLoader, FileStore};
use typst_kit::fonts::{self, FontStore};

struct Memory(BTreeMap<String, Bytes>);

impl FileLoader for Memory {
    fn load(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.vpath().get_without_slash();
        match id.root() {
            VirtualRoot::Project => self.0.get(path).cloned().ok_or_else(|| FileError::NotFound(path.into())),
            VirtualRoot::Package(_) => Err(FileError::AccessDenied),
        }
    }
}

/// Whether some embedded typeface has the character.
pub(crate) fn has(c: char) -> bool {
    fonts::embedded().any(|(_, info)| info.coverage.contains(u32::from(c)))
}

pub(crate) struct Pages {
    library: LazyHash<Library>,
    fonts: FontStore,
    files: FileStore<Memory>,
    main: FileId,
}

impl Pages {
    /// The pages of these files; none when the main file's name is not a path.
    pub(crate) fn new(files: BTreeMap<String, Bytes>) -> Option<Pages> {
        let mut store = FontStore::new();
        store.extend(fonts::embedded());
        let path = VirtualPath::new(crate::data::MAIN).ok()?;
        Some(Pages {
            library: LazyHash::new(Library::default()),
            fonts: store,
            files: FileStore::new(Memory(files)),
            main: RootedPath::new(VirtualRoot::Project, path).intern(),
        })
    }
}

impl World for Pages {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.fonts.book()
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.files.source(id)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files.file(id)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.font(index)
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
