//! What lies around a job's sheet: the spec that it names, and its photos.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use thiserror::Error;
use truing_job::record::check_photo_path;
use truing_job::{JobSheet, Photo};
use truing_report::Problem;
use truing_report::job_report::text::Text;
use truing_report::job_report::{MOST_BYTES_OF_A_PHOTO, MOST_BYTES_OF_ALL_PHOTOS, Picture};
use truing_syntax::tree::ItemKind;
use truing_syntax::{FileId, parse};

use crate::slugs;
use crate::text::read_text;
use crate::walk::{EXTENSION, normal};

/// So many folders upwards are looked into.
const HIGHEST: usize = 12;
/// The folders below a folder that are looked into as well.
const FOLDERS: [&str; 2] = ["specs", "spec"];
/// So many files of one folder are looked into.
const MOST_FILES: usize = 500;

/// Why the spec of a sheet was not found.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SpecNotFound {
    /// The sheet names none.
    #[error("the sheet does not say which spec it was written for")]
    Unnamed,
    /// No file that was looked into has it.
    #[error("no spec `{name}` was found in {}", folders(looked_in))]
    Nowhere {
        /// The name.
        name: String,
        /// Where it was looked for.
        looked_in: Vec<PathBuf>,
    },
    /// Several files of one folder have it.
    #[error("several files have a spec `{name}`: {}", folders(files))]
    Several {
        /// The name.
        name: String,
        /// The files.
        files: Vec<PathBuf>,
    },
}

impl From<&SpecNotFound> for Problem {
    fn from(error: &SpecNotFound) -> Self {
        Self::new(slugs::SPEC_NOT_FOUND.0, error.to_string())
            .mend("name it: --spec PATH, or put it beside the sheet or into a folder above it")
    }
}

fn folders(paths: &[PathBuf]) -> String {
    let names: Vec<String> = paths.iter().map(|path| path.display().to_string()).collect();
    names.join(", ")
}

/// The file of the spec that a sheet names: in the sheet's folder, in the folders above it, and in
/// their folders `specs`, the nearest first. A file is known by the name of the spec in it, whatever
/// its own name is.
///
/// # Errors
/// Where the sheet names no spec, where no file has it, or where two of one folder do.
pub fn spec_of_sheet(sheet: &JobSheet, path: impl AsRef<Path>) -> Result<PathBuf, SpecNotFound> {
    let name = sheet.spec.as_deref().map(str::trim).filter(|name| !name.is_empty());
    let name = name.ok_or(SpecNotFound::Unnamed)?;
    let path = normal(path.as_ref());
    // Without this, `..` of a relative path ends where the caller happens to stand.
    let whole = fs::canonicalize(&path).unwrap_or(path);
    let mut looked_in = Vec::new();
    for folder in whole.ancestors().skip(1).take(HIGHEST) {
        let below = FOLDERS.iter().map(|below| folder.join(below)).filter(|below| below.is_dir());
        for folder in std::iter::once(folder.to_path_buf()).chain(below) {
            let mut files = files_with(&folder, name);
            match (files.pop(), files.is_empty()) {
                (Some(only), true) => return Ok(only),
                (Some(last), false) => {
                    files.push(last);
                    return Err(SpecNotFound::Several { name: name.to_owned(), files });
                }
                (None, _) => looked_in.push(folder),
            }
        }
    }
    Err(SpecNotFound::Nowhere { name: name.to_owned(), looked_in })
}

/// The files of a folder that have a spec of this name, in order of their own names.
fn files_with(folder: &Path, name: &str) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.filter_map(Result::ok).map(|entry| entry.path());
    let mut files: Vec<PathBuf> =
        paths.filter(|path| path.extension().is_some_and(|end| end == EXTENSION)).collect();
    files.sort();
    files.truncate(MOST_FILES);
    // What cannot be read is not the spec that is looked for.
    files.retain(|file| read_text(file).is_ok_and(|text| declares(&text, name)));
    files
}

fn declares(text: &str, name: &str) -> bool {
    // Most files are told apart without being parsed.
    text.contains(name)
        && parse(FileId(0), text).tree.items.iter().any(|item| match &item.kind {
            ItemKind::Spec(spec) => &*spec.name.node == name,
            _ => false,
        })
}

/// The pictures of a job's photos, in the order of its rounds, or why one is left out. Nothing is
/// read outside the job's folder, wherever a link leads.
#[must_use]
pub fn pictures(sheet: &JobSheet, folder: impl AsRef<Path>) -> Vec<Result<Picture, Text>> {
    let folder = fs::canonicalize(folder.as_ref());
    let mut room = MOST_BYTES_OF_ALL_PHOTOS;
    let photos = sheet.rounds.iter().flat_map(|round| &round.photos);
    let pictures = photos.map(|photo| {
        let folder = folder.as_ref().map_err(|_| Text::line("the job's folder cannot be read"))?;
        let picture = picture(photo, folder, room)?;
        room = room.saturating_sub(picture.len());
        Ok(picture)
    });
    pictures.collect()
}

fn picture(photo: &Photo, folder: &Path, room: usize) -> Result<Picture, Text> {
    let left_out = |why: &str| Err(Text::line(why));
    if check_photo_path(&photo.path).is_err() {
        return left_out("its path does not lie in the job's folder");
    }
    let Ok(path) = fs::canonicalize(folder.join(&photo.path)) else {
        return left_out("there is no such file in the job's folder");
    };
    if !path.starts_with(folder) {
        return left_out("it is a link that leads out of the job's folder");
    }
    // Before it is opened: reading a pipe would wait for ever.
    let Ok(about) = fs::metadata(&path) else { return left_out("it cannot be read") };
    if !about.is_file() {
        return left_out("it is no file");
    }
    let too_large = format!(
        "it is larger than {} MiB, the most that a report takes in",
        MOST_BYTES_OF_A_PHOTO >> 20
    );
    if about.len() > MOST_BYTES_OF_A_PHOTO as u64 {
        return left_out(&too_large);
    }
    if about.len() > room as u64 {
        return left_out("the photos before it fill the report");
    }
    let mut bytes = Vec::new();
    let capped = File::open(&path).map(|file| file.take(MOST_BYTES_OF_A_PHOTO as u64 + 1));
    if capped.and_then(|mut file| file.read_to_end(&mut bytes)).is_err() {
        return left_out("it cannot be read");
    }
    if bytes.len() > MOST_BYTES_OF_A_PHOTO {
        return left_out(&too_large);
    }
    Picture::new(bytes).ok_or_else(|| Text::line("it is no JPEG, PNG, GIF or WebP picture"))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PNG: &[u8] = b"\x89PNG\r\n\x1A\n and the rest";

    fn spec(name: &str) -> String {
        format!("spec {name} \"Trike (invented)\" {{ edition \"1\" }}\n")
    }

    fn sheet(spec: &str) -> JobSheet {
        JobSheet { spec: Some(spec.to_owned()), ..JobSheet::default() }
    }

    fn photographed(paths: &[&str]) -> JobSheet {
        let photos =
            paths.iter().map(|path| Photo { path: (*path).to_owned(), ..Photo::default() });
        let round = truing_job::Round { photos: photos.collect(), ..Default::default() };
        JobSheet { rounds: vec![round], ..JobSheet::default() }
    }

    fn write(path: PathBuf, bytes: impl AsRef<[u8]>) {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }

    #[test]
    fn a_spec_is_found_by_its_name_the_nearest_first() {
        let shop = tempfile::tempdir().unwrap();
        let root = fs::canonicalize(shop.path()).unwrap();
        write(root.join("jobs/monday/a.toml"), "");
        let job = root.join("jobs/monday/a.toml");
        let find = || spec_of_sheet(&sheet("trike"), &job);
        assert!(matches!(find(), Err(SpecNotFound::Nowhere { .. })));
        write(root.join("specs/any name.truing"), spec("trike"));
        assert_eq!(find().unwrap(), root.join("specs/any name.truing"));
        // One that only uses the name is not taken for it, nor a library of that name.
        write(root.join("jobs/other.truing"), spec("trike_two"));
        write(root.join("jobs/lib.truing"), "library trike \"Trike\"\n");
        assert_eq!(find().unwrap(), root.join("specs/any name.truing"));
        write(root.join("jobs/near.truing"), spec("trike"));
        assert_eq!(find().unwrap(), root.join("jobs/near.truing"));
    }

    #[test]
    fn two_of_one_folder_are_told_and_so_is_none() {
        let shop = tempfile::tempdir().unwrap();
        let job = shop.path().join("a.toml");
        write(job.clone(), "");
        write(shop.path().join("one.truing"), spec("trike"));
        write(shop.path().join("two.truing"), spec("trike"));
        let found = spec_of_sheet(&sheet("trike"), &job);
        let Err(SpecNotFound::Several { files, .. }) = found else { panic!("{found:?}") };
        assert_eq!(files.len(), 2);
        assert_eq!(spec_of_sheet(&JobSheet::default(), &job), Err(SpecNotFound::Unnamed));
        let nowhere = spec_of_sheet(&sheet("cart"), &job).unwrap_err();
        assert!(nowhere.to_string().starts_with("no spec `cart` was found in "), "{nowhere}");
    }

    #[test]
    fn a_picture_in_the_folder_is_taken_and_what_is_none_is_said_to_be() {
        let shop = tempfile::tempdir().unwrap();
        write(shop.path().join("photos/a.png"), PNG);
        write(shop.path().join("photos/b.jpg"), "<svg onload=alert(1)>");
        write(shop.path().join("photos/huge.png"), PNG);
        let huge = File::options().write(true).open(shop.path().join("photos/huge.png")).unwrap();
        huge.set_len(MOST_BYTES_OF_A_PHOTO as u64 + 1).unwrap();
        let sheet = photographed(&[
            "photos/a.png",
            "photos/b.jpg",
            "photos/huge.png",
            "photos/gone.png",
            "photos",
        ]);
        let pictures = pictures(&sheet, shop.path());
        assert_eq!(pictures[0].as_ref().unwrap().media(), "image/png");
        let why = |place: usize| pictures[place].as_ref().unwrap_err().as_str();
        assert_eq!(why(1), "it is no JPEG, PNG, GIF or WebP picture");
        assert_eq!(why(2), "it is larger than 4 MiB, the most that a report takes in");
        assert_eq!(why(3), "there is no such file in the job's folder");
        assert_eq!(why(4), "it is no file");
    }

    #[test]
    fn no_path_leads_out_of_the_folder() {
        let shop = tempfile::tempdir().unwrap();
        write(shop.path().join("secret.png"), PNG);
        write(shop.path().join("job/photos/a.png"), PNG);
        let secret = shop.path().join("secret.png").display().to_string();
        let paths = [
            "../secret.png",
            "photos/../../secret.png",
            secret.as_str(),
            "file:../secret.png",
            "http://localhost/a.png",
            "//localhost/a.png",
            "C:\\secret.png",
            "C:/secret.png",
            "..\\secret.png",
            "\\\\host\\share\\a.png",
            "photos/a.png\0.txt",
            "%2e%2e/secret.png",
            "javascript:alert(1)",
            "data:image/png;base64,iVBORw0KGgo=",
            "",
        ];
        let sheet = photographed(&paths);
        for (path, picture) in paths.iter().zip(pictures(&sheet, shop.path().join("job"))) {
            assert!(picture.is_err(), "{path:?}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_link_may_lead_about_in_the_folder_and_not_out_of_it() {
        use std::os::unix::fs::symlink;
        let shop = tempfile::tempdir().unwrap();
        let job = shop.path().join("job");
        write(shop.path().join("secret.png"), PNG);
        write(job.join("photos/a.png"), PNG);
        symlink(shop.path().join("secret.png"), job.join("out.png")).unwrap();
        symlink(shop.path(), job.join("up")).unwrap();
        symlink(job.join("photos/a.png"), job.join("in.png")).unwrap();
        let sheet = photographed(&["out.png", "up/secret.png", "in.png"]);
        let pictures = pictures(&sheet, &job);
        for place in [0, 1] {
            let why = pictures[place].as_ref().unwrap_err();
            assert_eq!(why.as_str(), "it is a link that leads out of the job's folder");
        }
        assert!(pictures[2].is_ok());
    }

    #[test]
    fn photos_that_no_longer_fit_are_left_out() {
        let shop = tempfile::tempdir().unwrap();
        let names: Vec<String> = (0..6).map(|n| format!("{n}.png")).collect();
        for name in &names {
            write(shop.path().join(name), PNG);
            let file = File::options().write(true).open(shop.path().join(name)).unwrap();
            file.set_len(MOST_BYTES_OF_A_PHOTO as u64).unwrap();
        }
        let paths: Vec<&str> = names.iter().map(String::as_str).collect();
        let taken = pictures(&photographed(&paths), shop.path());
        assert_eq!(taken.iter().filter(|picture| picture.is_ok()).count(), 4);
        let last = taken.last().unwrap().as_ref().unwrap_err();
        assert_eq!(last.as_str(), "the photos before it fill the report");
    }
}
