//! The static site: every file that a web server needs to hand out, and nothing else.
//!
//! ```text
//! index.html             the page; names the build folder
//! manifest.webmanifest
//! sw.js                  keeps the bench for use without a network
//! icons/…
//! build-HASH/            called by its content, so that no cache can mix two builds
//!   start.js worker.js   from web/
//!   sealin.css           the files of web/styles, one after another
//!   sealin.js sealin_bg.wasm   the glue and the module
//! ```
//!
//! `web/index.html` and `web/sw.js` hold marks in double braces which are filled in here: `{{policy}}`, `{{build}}`,
//! `{{offline}}`; `{{version}}`, `{{files}}`.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail};
use sha2::{Digest, Sha256};

use crate::wasm::{self, Profile};
use crate::{paths, policy};

/// A site in memory.
#[derive(Clone, Debug)]
pub struct Site {
    /// The content of each file by its path, parts separated by `/`.
    pub files: BTreeMap<String, Vec<u8>>,
}

impl Site {
    /// Compiles the front end and puts the site together.
    ///
    /// # Errors
    /// If the front end does not build, or a file of `web/` is missing or breaks the policy.
    pub fn build(profile: Profile) -> Result<Site> {
        let glue = paths::target().join("glue");
        if glue.exists() {
            fs::remove_dir_all(&glue)?;
        }
        wasm::build(profile, &glue)?;
        let mut app = read_tree(&glue)?;
        for name in ["start.js", "worker.js"] {
            app.insert(name.into(), read_web(name)?.into_bytes());
        }
        app.insert("sealin.css".into(), style_sheet(&paths::web().join("styles"))?.into_bytes());
        let mut public = BTreeMap::new();
        public.insert("manifest.webmanifest".into(), read_web("manifest.webmanifest")?.into_bytes());
        for (name, content) in read_tree(&paths::web().join("icons"))? {
            public.insert(format!("icons/{name}"), content);
        }
        Site::assemble(app, public, &read_web("index.html")?, &read_web("sw.js")?, profile == Profile::Web)
    }

    /// Writes the site into a folder, after removing an earlier site from it.
    ///
    /// # Errors
    /// If the folder holds anything but a site, or cannot be written.
    pub fn write(&self, dir: &Path) -> Result<()> {
        if dir.exists() && fs::read_dir(dir)?.next().is_some() {
            if !(dir.join("sw.js").is_file() && dir.join("index.html").is_file()) {
                bail!("{} is not empty and holds no site; choose another folder, or empty it", dir.display());
            }
            fs::remove_dir_all(dir)?;
        }
        // The page comes last: until then the folder names nothing that is not there.
        for (name, content) in self.files.iter().filter(|(name, _)| *name != "index.html") {
            write_file(&dir.join(name), content)?;
        }
        write_file(&dir.join("index.html"), &self.files["index.html"])
    }

    fn assemble(
        app: BTreeMap<String, Vec<u8>>,
        public: BTreeMap<String, Vec<u8>>,
        page: &str,
        service_worker: &str,
        offline: bool,
    ) -> Result<Site> {
        let build = format!("build-{}", &digest(&app)[..12]);
        let mut files = public;
        files.extend(app.into_iter().map(|(name, content)| (format!("{build}/{name}"), content)));
        let page = fill(
            page,
            &[
                ("policy", policy::IN_PAGE),
                ("build", &build),
                ("offline", if offline { "yes" } else { "no" }),
            ],
        )?;
        refuse_inline(&page)?;
        files.insert("index.html".into(), page.into_bytes());

        // The page is kept as `./`, the address it is opened by: some servers answer `index.html` with a redirection,
        // and a kept redirection cannot answer a navigation.
        let version = &digest(&files)[..12];
        let names: Vec<&str> =
            files.keys().map(|name| if name == "index.html" { "./" } else { name.as_str() }).collect();
        let list = serde_json::to_string(&names)?;
        let service_worker = fill(service_worker, &[("version", version), ("files", &list)])?;
        files.insert("sw.js".into(), service_worker.into_bytes());
        Ok(Site { files })
    }
}

/// `cargo xtask dist`: builds the site and writes it.
///
/// # Errors
/// As [`Site::build`] and [`Site::write`].
pub fn dist(dir: &Path, profile: Profile) -> Result<()> {
    let site = Site::build(profile)?;
    site.write(dir)?;
    let bytes: usize = site.files.values().map(Vec::len).sum();
    println!("{} files, {} kB in {}", site.files.len(), bytes / 1000, dir.display());
    Ok(())
}

/// The style sheets of a folder as one: those that `order.txt` names first and in its order, the rest by name.
fn style_sheet(dir: &Path) -> Result<String> {
    let mut sheets: BTreeMap<String, String> = BTreeMap::new();
    for (name, content) in read_tree(dir)? {
        if name.ends_with(".css") {
            let text = String::from_utf8(content).with_context(|| format!("styles/{name} is not UTF-8"))?;
            sheets.insert(name, text);
        }
    }
    let order = fs::read_to_string(dir.join("order.txt")).unwrap_or_default();
    let mut joined = String::new();
    for name in order.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let Some(sheet) = sheets.remove(name) else {
            bail!("styles/order.txt names {name}, which is not there")
        };
        joined.push_str(sheet.trim_end());
        joined.push('\n');
    }
    for sheet in sheets.values() {
        joined.push_str(sheet.trim_end());
        joined.push('\n');
    }
    Ok(joined)
}

/// Puts values in the place of marks. Each mark must be there, and no mark may be left.
fn fill(text: &str, values: &[(&str, &str)]) -> Result<String> {
    let mut filled = text.to_owned();
    for (name, value) in values {
        let mark = format!("{{{{{name}}}}}");
        if !filled.contains(&mark) {
            bail!("there is no {mark} to fill in");
        }
        filled = filled.replace(&mark, value);
    }
    if let Some(at) = filled.find("{{") {
        let rest: String = filled[at..].chars().take(30).collect();
        bail!("nothing fills in {rest}");
    }
    Ok(filled)
}

/// Refuses a page with a script or style in it: the policy would block it in the browser, where it is noticed late.
fn refuse_inline(page: &str) -> Result<()> {
    let mut rest = page;
    while let Some(start) = rest.find('<') {
        let tag = &rest[start + 1..];
        let tag = &tag[..tag.find('>').unwrap_or(tag.len())];
        let mut words = tag.split_whitespace();
        let name = words.next().unwrap_or("").to_ascii_lowercase();
        let attributes: Vec<String> =
            words.map(|word| word.split('=').next().unwrap_or("").to_ascii_lowercase()).collect();
        let has = |wanted: &str| attributes.iter().any(|name| name == wanted);
        let handler = attributes.iter().any(|name| name.starts_with("on"));
        if name == "style" || (name == "script" && !has("src")) || has("style") || handler {
            bail!("index.html has a script or style in it: <{tag}>");
        }
        rest = &rest[start + 1..];
    }
    Ok(())
}

/// The SHA-256 of names and contents, in hexadecimal. Each is preceded by its length, so that no two sets agree.
fn digest(files: &BTreeMap<String, Vec<u8>>) -> String {
    let mut hash = Sha256::new();
    for (name, content) in files {
        for part in [name.as_bytes(), content.as_slice()] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

fn read_web(name: &str) -> Result<String> {
    let path = paths::web().join(name);
    fs::read_to_string(&path).with_context(|| format!("could not read {}", path.display()))
}

/// Every file below a folder by its path in it, parts separated by `/`. Names that start with a dot are left out.
fn read_tree(dir: &Path) -> Result<BTreeMap<String, Vec<u8>>> {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(dir).with_context(|| format!("could not read {}", dir.display()))? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        if entry.file_type()?.is_dir() {
            for (inner, content) in read_tree(&entry.path())? {
                files.insert(format!("{name}/{inner}"), content);
            }
        } else {
            files.insert(name, fs::read(entry.path())?);
        }
    }
    Ok(files)
}

fn write_file(path: &Path, content: &[u8]) -> Result<()> {
    if let Some(parent) = path.parent() {
        fs::create_dir_all(parent)?;
    }
    fs::write(path, content).with_context(|| format!("could not write {}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(list: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
        list.iter().map(|(name, content)| ((*name).into(), content.as_bytes().to_vec())).collect()
    }

    fn site(script: &str) -> Site {
        let page =
            "<meta content=\"{{policy}}\"><script src=\"{{build}}/start.js\" data-offline=\"{{offline}}\">";
        let worker = "'{{version}}' {{files}}";
        Site::assemble(files(&[("start.js", script)]), files(&[("icons/a.svg", "")]), page, worker, true)
            .unwrap()
    }

    #[test]
    fn another_content_gives_another_folder_and_version() {
        let (one, two) = (site("1"), site("2"));
        let names = |site: &Site| site.files.keys().cloned().collect::<Vec<_>>();
        assert_eq!(names(&one), names(&site("1")));
        assert_ne!(names(&one), names(&two));
        assert_ne!(one.files["sw.js"], two.files["sw.js"]);
    }

    #[test]
    fn the_service_worker_lists_all_but_itself() {
        let site = site("1");
        let list = String::from_utf8(site.files["sw.js"].clone()).unwrap();
        let (_, list) = list.split_once(' ').unwrap();
        let mut listed: Vec<String> = serde_json::from_str(list).unwrap();
        listed.retain(|name| name != "./");
        let expected: Vec<&String> =
            site.files.keys().filter(|name| *name != "sw.js" && *name != "index.html").collect();
        assert_eq!(listed.iter().collect::<Vec<_>>(), expected);
    }

    #[test]
    fn a_mark_that_is_missing_or_left_is_an_error() {
        assert!(fill("a {{b}}", &[("b", "c"), ("d", "e")]).is_err());
        assert!(fill("a {{b}} {{d}}", &[("b", "c")]).is_err());
        assert_eq!(fill("a {{b}}", &[("b", "c")]).unwrap(), "a c");
    }

    #[test]
    fn inline_scripts_and_styles_are_refused() {
        for bad in [
            "<script>a()</script>",
            "<p style=\"a\">",
            "<STYLE>",
            "<body onload=\"a()\">",
            "<p\nonclick='a'>",
        ] {
            assert!(refuse_inline(bad).is_err(), "{bad}");
        }
        refuse_inline("<script type=\"module\" src=\"a.js\"></script><p class=\"style\">once</p>").unwrap();
    }

    #[test]
    fn styles_follow_the_order_file_then_their_names() {
        let dir = tempfile::tempdir().unwrap();
        for (name, text) in
            [("b.css", "b"), ("a.css", "a\n\n"), ("z.css", "z"), ("order.txt", "z.css\n"), ("note.md", "")]
        {
            fs::write(dir.path().join(name), text).unwrap();
        }
        assert_eq!(style_sheet(dir.path()).unwrap(), "z\na\nb\n");
        fs::write(dir.path().join("order.txt"), "missing.css").unwrap();
        assert!(style_sheet(dir.path()).is_err());
    }

    #[test]
    fn a_folder_with_other_things_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("letter.txt"), "dear").unwrap();
        assert!(site("1").write(dir.path()).is_err());
        assert!(dir.path().join("letter.txt").is_file());
        let fresh = dir.path().join("site");
        site("1").write(&fresh).unwrap();
        site("2").write(&fresh).unwrap();
        let builds = fs::read_dir(&fresh).unwrap().flatten().filter(|entry| entry.path().is_dir()).count();
        assert_eq!(builds, 2, "the icons and one build");
    }
}
