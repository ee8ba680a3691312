//! The library that every install carries, compiled in.

macro_rules! std_table {
    ($($name:literal)*) => {
        /// Name and text of each file of `specs/std`, in order of name.
        pub(crate) static STD: &[(&str, &str)] = &[$((
            concat!("std/", $name),
            include_str!(concat!("../../../specs/std/", $name, ".truing")),
        )),*];
    };
}

std_table! {
    "battery" "pm-charging" "starting"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_library_is_in_the_table() {
        let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/../../specs/std");
        let mut there: Vec<String> = std::fs::read_dir(dir)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|end| end == "truing"))
            .map(|path| format!("std/{}", path.file_stem().unwrap().to_str().unwrap()))
            .collect();
        there.sort();
        let listed: Vec<&str> = STD.iter().map(|(name, _)| *name).collect();
        assert_eq!(listed, there, "specs/std and the table in std_table.rs differ");
    }
}
