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

#[cfg(test)]
mod tests {
    use super::*;

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
