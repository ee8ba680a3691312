//! The library that every install carries, compiled in.

macro_rules! std_table {
    ($($name:literal)*) => {
        /// Name and text of each file of `specs/meters` and `specs/std`, in order of name.
        pub(crate) static STD: &[(&str, &str)] = &[$((
            $name,
            include_str!(concat!("../../../specs/", $name, ".truing")),
        )),*];
    };
}

/// The folders of `specs` whose files are compiled in.
pub(crate) const FOLDERS: &[&str] = &["meters", "std"];

std_table! {
    "meters/bench" "meters/clamp" "meters/handheld" "meters/mechanical" "meters/pressure"
    "meters/speed" "meters/temperature"
    "std/battery" "std/pm-charging" "std/starting"
}

/// The trees of [`STD`] in the same order, each as `truing_syntax::pack` makes it, with its length
/// (four bytes, the lowest first) before it. Made from the texts:
///
/// ```text
/// TRUING_WRITE_PAGES=1 cargo test -p truing --lib std_table
/// ```
static TREES: &[u8] = include_bytes!("std_trees.bin");

/// The packed tree of a text that is one of [`STD`], whether it was compiled in or lies on the disk.
pub(crate) fn packed(text: &str) -> Option<&'static [u8]> {
    let place = STD.iter().position(|(_, known)| *known == text)?;
    trees(TREES).nth(place)
}

fn trees(all: &'static [u8]) -> impl Iterator<Item = &'static [u8]> {
    let mut left = all;
    std::iter::from_fn(move || {
        let (length, rest) = left.split_first_chunk()?;
        let (tree, rest) = rest.split_at_checked(u32::from_le_bytes(*length) as usize)?;
        left = rest;
        Some(tree)
    })
}

#[cfg(test)]
mod tests {
    use truing_syntax::FileId;

    use super::*;

    fn made_anew() -> Vec<u8> {
        let packed = STD.iter().map(|(name, text)| {
            let tree = truing_syntax::pack(text).unwrap_or_else(|| panic!("{name} has errors"));
            [&u32::try_from(tree.len()).unwrap().to_le_bytes()[..], &tree].concat()
        });
        packed.collect::<Vec<_>>().concat()
    }

    #[test]
    fn the_trees_are_those_of_the_texts() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/std_trees.bin");
        let made = made_anew();
        if std::env::var_os("TRUING_WRITE_PAGES").is_some() {
            std::fs::write(path, &made).unwrap();
        }
        let kept = std::fs::read(path).unwrap();
        assert!(
            kept == made,
            "std_trees.bin is stale: TRUING_WRITE_PAGES=1 cargo test -p truing --lib std_table"
        );
    }

    #[test]
    fn a_text_has_its_tree_and_one_that_was_changed_has_none() {
        for (name, text) in STD {
            let tree = packed(text).and_then(|it| truing_syntax::unpack(it, FileId(0), text));
            assert!(tree.is_some(), "{name}");
            assert!(packed(&format!("{text}\n")).is_none(), "{name}");
        }
    }

    #[test]
    fn every_file_of_the_library_is_in_the_table() {
        let specs = concat!(env!("CARGO_MANIFEST_DIR"), "/../../specs");
        let mut there: Vec<String> = FOLDERS
            .iter()
            .flat_map(|folder| {
                std::fs::read_dir(format!("{specs}/{folder}"))
                    .unwrap()
                    .map(|entry| entry.unwrap().path())
                    .filter(|path| path.extension().is_some_and(|end| end == "truing"))
                    .map(move |path| {
                        format!("{folder}/{}", path.file_stem().unwrap().to_str().unwrap())
                    })
            })
            .collect();
        there.sort();
        let listed: Vec<&str> = STD.iter().map(|(name, _)| *name).collect();
        assert_eq!(listed, there, "the folders and the table in std_table.rs differ");
    }
}
