//! The developers' page stays true: it names every crate and folder, and every command.

use std::path::Path;

fn root() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn page(name: &str) -> String {
    std::fs::read_to_string(root().join(name)).unwrap()
}

#[test]
fn the_code_map_names_every_crate_and_folder() {
    let map = page("DEVELOPERS.md");
    let mut folders = vec!["web".to_string(), "scenarios".to_string(), "tests".to_string()];
    for entry in std::fs::read_dir(root().join("crates")).unwrap() {
        folders.push(format!("crates/{}", entry.unwrap().file_name().to_string_lossy()));
    }
    assert!(folders.len() >= 9, "{folders:?}");
    for folder in folders {
        assert!(map.contains(&format!("| `{folder}` |")), "{folder} is missing in DEVELOPERS.md");
    }
}

#[test]
fn every_module_of_the_core_is_on_the_map() {
    let map = page("DEVELOPERS.md");
    for entry in std::fs::read_dir(root().join("crates/core/src")).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        let stem = name.trim_end_matches(".rs");
        let named = [format!("`{name}`"), format!("`{stem}/`")].iter().any(|n| map.contains(n));
        assert!(named || ["lib", "complex"].contains(&stem), "{name} is missing in DEVELOPERS.md");
    }
}

#[test]
fn the_readme_begins_with_the_job_and_has_both_commands_and_its_picture() {
    let readme = page("README.md");
    assert!(readme.starts_with("# Sealin\n\nTake a reversing motor starter from the job sheet"));
    for needed in
        ["cargo xtask serve", "cargo xtask test", "## Cautions", "## Limits of the models", "## Deploy"]
    {
        assert!(readme.contains(needed), "{needed}");
    }
    let picture =
        readme.split("](").find_map(|s| s.split(')').next().filter(|p| p.ends_with(".png"))).unwrap();
    assert!(root().join(picture).is_file(), "{picture} is not there");
}
