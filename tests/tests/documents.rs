//! The developers' page stays true: it names every crate and folder, and every command, and the page's components keep its rules.

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

/// The files of source under a folder.
fn sources(folder: &Path, all: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, all);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            all.push(path);
        }
    }
}

/// A component's file fits the eye, at most 300 lines, and looks are for the style sheets.
#[test]
fn components_are_short_and_have_no_style_of_their_own() {
    let mut all = Vec::new();
    sources(&root().join("web/src"), &mut all);
    let texts = all.iter().map(|path| (path, std::fs::read_to_string(path).unwrap()));
    let components: Vec<_> = texts.filter(|(_, text)| text.contains("#[component]")).collect();
    assert!(components.len() > 50, "{}", components.len());
    for (path, text) in components {
        let lines = text.lines().count();
        assert!(lines <= 300, "{} has {lines} lines", path.display());
        assert!(!text.contains("style="), "{} has a style of its own", path.display());
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
