//! Marking a class: order, threads, kept marks, what is wrong with single attempts, table and page. What designs earn and lose stands,
//! reasoned by hand, in tests/cases/designs: of 120 marks the reference earns 112, as no prediction was answered; the given start 26 and
//! the share of craft, 0 of 3, 0 of 3 and 1 of 6.

mod support;

use sealin_core::canon::{Writer, from_hex, hex};
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use support::{Folder, ID, json, sealin, told};

impl Folder {
    fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.0.join(name)).unwrap()
    }

    /// The text of an attempt that `sealin attempt` makes.
    fn attempt(&self, args: &[&str]) -> String {
        let path = self.path("made.json");
        let (status, _, error) = told(&sealin(&[&["attempt", ID, &path], args].concat()));
        assert_eq!(status, 0, "{error}");
        self.read("made.json")
    }
}

/// The same attempt with another name on it, which is no part of the chain.
fn by(text: &str, author: &str) -> String {
    text.replacen("\"author\": \"\"", &format!("\"author\": {}", serde_json::Value::from(author)), 1)
}

/// On one line.
fn line(text: &str) -> String {
    json(text).to_string() + "\n"
}

/// Grades JSON lines from standard input.
fn grade_lines(lines: &[u8], args: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sealin"))
        .args(["grade", "-"])
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut stdin, lines) = (child.stdin.take().unwrap(), lines.to_vec());
    let feeder = std::thread::spawn(move || stdin.write_all(&lines));
    let output = child.wait_with_output().unwrap();
    feeder.join().unwrap().unwrap();
    output
}

/// A class on disk: reference and given start by several learners, in folders and a file of lines, one of them damaged.
fn class(name: &str) -> Folder {
    let folder = Folder::new(name);
    let reference = folder.attempt(&[]);
    let given = folder.attempt(&["--given"]);
    std::fs::remove_file(folder.path("made.json")).unwrap();
    for k in 0..6 {
        folder.file(&format!("class/b/{k}.attempt.json"), by(&reference, &format!("Learner {k}")));
    }
    folder.file("class/a/given.attempt.json", by(&given, "Rook"));
    folder.file("class/c.attempt.json", &reference[..reference.len() / 2]);
    folder.file("class/b/notes.txt", "not an attempt");
    let lines = [line(&by(&given, "One")), "{\"head\": 1}\n".to_string(), line(&by(&reference, "Two"))];
    folder.file("class/z.jsonl", lines.concat());
    folder
}

/// Whatever the number of threads: the same bytes, in the order of the input, of folders by name. By hand: a/given, b/0 to b/5, the
/// damaged c, three lines of z.
#[test]
fn the_same_in_the_order_of_the_input_whatever_the_threads() {
    let folder = class("threads");
    let mut all = BTreeSet::new();
    for threads in ["1", "2", "7"] {
        let (csv, html) = (folder.path("class.csv"), folder.path("class.html"));
        let place = folder.path("class");
        let out = sealin(&["grade", &place, "--json", "--threads", threads, "--csv", &csv, "--html", &html]);
        let (status, out, error) = told(&out);
        assert_eq!(status, 2, "{error}");
        assert!(error.contains("1 files passed over") && error.contains("2 of 11 attempts"), "{error}");
        let names: Vec<String> = out
            .lines()
            .map(|l| json(l)["attempt"].as_str().unwrap()[place.len() + 1..].to_string())
            .collect();
        let b = |k: usize| format!("b/{k}.attempt.json");
        let wanted = [
            "a/given.attempt.json",
            &b(0),
            &b(1),
            &b(2),
            &b(3),
            &b(4),
            &b(5),
            "c.attempt.json",
            "z.jsonl:1",
            "z.jsonl:2",
            "z.jsonl:3",
        ];
        assert_eq!(names, wanted);
        all.insert((out, error, folder.read("class.csv"), folder.read("class.html")));
    }
    assert_eq!(all.len(), 1, "the number of threads changes nothing");
}

/// Each kind of bad line is told in its own line with its reason, and the good ones around it are marked.
#[test]
fn hostile_lines_are_told_one_by_one() {
    let folder = Folder::new("hostile-lines");
    let reference = line(&folder.attempt(&[]));
    let unknown = reference.replacen("\"id\":\"paddle-closed-loop\"", "\"id\":\"slipway\"", 1);
    let long_hash = reference.replacen("\"content_hash\":\"", "\"content_hash\":\"f", 1);
    let huge = [vec![b'['; 9 << 20], b"\n".to_vec()].concat();
    let deep = format!("{}{}\n", "[".repeat(200_000), "]".repeat(200_000));
    let deep_act =
        reference.replacen("\"cold\"", &format!("{}0{}", "[".repeat(100_000), "]".repeat(100_000)), 1);
    let backwards = reference.replacen("\"at\":0", "\"at\":77", 1);
    let cases: [(&[u8], &str); 13] = [
        (b"{\"head\": 1}\n", "line 1, column"),
        (&huge, "8388608"),
        (deep.as_bytes(), "line 1, column"),
        (deep_act.as_bytes(), "line 1, column"),
        (b"\xff\xfe\n", "byte 0 is not UTF-8"),
        (b"\n", "there is nothing"),
        (b"null\n", "line 1, column"),
        (unknown.as_bytes(), "no scenario `slipway`"),
        (long_hash.as_bytes(), "64 hexadecimal digits"),
        (backwards.as_bytes(), "impossible order: entry 1 at tick 0 comes after tick 77"),
        (b"{\"head\":{\"format\":\"sealin attempt\",\"version\":9}}\n", "newer"),
        (b"\0\0\0\n", "line 1, column"),
        // A line without an end, at the end.
        (&huge[..huge.len() - 1], "8388608"),
    ];
    let mut input = Vec::new();
    for (bad, _) in &cases {
        input.extend_from_slice(reference.as_bytes());
        input.extend_from_slice(bad);
    }
    let (status, out, error) = told(&grade_lines(&input, &[]));
    assert_eq!(status, 2);
    assert!(error.contains("13 of 26 attempts could not be marked"), "{error}");
    assert!(!error.contains("panicked"), "{error}");
    let lines: Vec<_> = out.lines().map(json).collect();
    assert_eq!(lines.len(), 26);
    for (pair, (_, reason)) in lines.chunks(2).zip(cases) {
        assert_eq!(pair[0]["earned"], 112);
        let error = pair[1]["error"].as_str().unwrap();
        assert!(error.contains(reason), "{error}: `{reason}` was expected");
    }
}

/// A line is answered before the next one is there: whoever feeds the stream may wait for the answer.
#[test]
fn a_stream_is_answered_as_it_comes() {
    use std::io::{BufRead, BufReader};
    let mut child = Command::new(env!("CARGO_BIN_EXE_sealin"))
        .args(["grade", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let (mut stdin, mut answers) =
        (child.stdin.take().unwrap(), BufReader::new(child.stdout.take().unwrap()));
    for k in 0..3 {
        writeln!(stdin, "{{\"line\": {k}}}").unwrap();
        let mut answer = String::new();
        answers.read_line(&mut answer).unwrap();
        assert!(json(&answer)["error"].is_string());
    }
    drop(stdin);
    assert_eq!(child.wait().unwrap().code(), Some(2));
}

/// Marks kept in a folder: the second run says the same, byte for byte, and takes what was kept; what was damaged is computed again.
#[test]
fn kept_marks_are_used_and_change_nothing() {
    let folder = class("kept");
    let (place, keep) = (folder.path("class"), folder.path("keep"));
    let run = |more: &[&str]| told(&sealin(&[&["grade", &place, "--json"], more].concat()));
    let afresh = run(&[]);
    assert_eq!(run(&["--keep", &keep]), afresh, "while they are computed");
    assert_eq!(run(&["--keep", &keep]), afresh, "when they were kept");
    let files: Vec<PathBuf> = walk(Path::new(&keep));
    assert_eq!(files.len(), 2, "one for each design");
    // Proof that they are read: without the 8 marks of the first requirement in a file whose sum is right, the marks are fewer: those, and
    // what 92 of 100 leave of craft: 2 of 3, 2 of 3, 5 of 6.
    let whole = afresh.1.lines().map(json).find(|marks| marks["earned"] == 112).unwrap();
    let first = whole["lines"][0]["of"].as_u64().unwrap();
    let lines = |earned: u64| format!("\"lines\":[{{\"earned\":{earned},");
    for path in &files {
        let whole = std::fs::read_to_string(path).unwrap();
        let (_, text) = whole.split_once('\n').unwrap();
        let key = from_hex(path.file_stem().unwrap().to_str().unwrap()).unwrap();
        let changed = text.replacen(&lines(first), &lines(0), 1);
        let sum = hex(&Writer::new("sealin kept file").bytes(&key).str(&changed).finish());
        std::fs::write(path, format!("{sum}\n{changed}")).unwrap();
    }
    let (_, out, _) = run(&["--keep", &keep]);
    let fewer = out.lines().map(json).filter(|marks| marks["earned"] == 112 - first - 3).count();
    assert_eq!(fewer, 7, "b/0 to b/5 and the third line of z");
    // A file whose sum is wrong, a cut one, and one of something else do not count.
    for spoil in [b"0\n{}".as_slice(), b"", b"\xff", &[b'x'; 70]] {
        files.iter().for_each(|path| std::fs::write(path, spoil).unwrap());
        assert_eq!(run(&["--keep", &keep]), afresh);
    }
    assert_eq!(run(&["--keep", &keep]), afresh, "and were written anew");
}

fn walk(dir: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { all.extend(walk(&path)) } else { all.push(path) }
    }
    all.sort();
    all
}

/// The given start loses what given.toml says, reasoned there, and earns all other requirements in full; the
/// reference earns everything. A line an attempt, a column a requirement.
#[test]
fn a_table_has_a_column_a_requirement() {
    let folder = Folder::new("table");
    let reference = folder.file("reference.json", by(&folder.attempt(&[]), "=HYPERLINK(1)"));
    let given = folder.file("given.json", folder.attempt(&["--given"]));
    let csv = folder.path("class.csv");
    let (status, ..) = told(&sealin(&["grade", &reference, &given, "no-such-file.json", "--csv", &csv]));
    assert_eq!(status, 2);
    let mut table = csv::Reader::from_path(&csv).unwrap();
    let heads: Vec<String> = table.headers().unwrap().iter().map(String::from).collect();
    let ids: Vec<String> = (1..=14).map(|k| format!("R{k}")).collect();
    assert_eq!(heads[8..22], ids);
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 3);
    let earned = |row: &csv::StringRecord| -> Vec<u32> { (8..22).map(|k| row[k].parse().unwrap()).collect() };
    let (full, lost) = (earned(&rows[0]), ["R4", "R6", "R7", "R8", "R9", "R10", "R11", "R12", "R13", "R14"]);
    assert_eq!((full.iter().sum::<u32>(), &rows[0][3], &rows[0][6]), (100, "112", "true"));
    let wanted: Vec<u32> =
        ids.iter().zip(&full).map(|(id, of)| if lost.contains(&id.as_str()) { 0 } else { *of }).collect();
    assert_eq!(earned(&rows[1]), wanted);
    assert_eq!((&rows[1][3], &rows[1][6]), ("27", "false"));
    assert_eq!(&rows[0][1], "'=HYPERLINK(1)", "nothing for a spreadsheet to compute");
    let column = |name: &str| heads.iter().position(|head| head == name).unwrap();
    assert!(rows[2][column("error")].contains("No such file"), "{:?}", rows[2]);
}

/// Who did the same as whom is told in both rows, over the whole class, also between files and lines; a damaged chain from where on.
#[test]
fn remarks_on_chains_and_equal_acts() {
    let folder = Folder::new("remarks");
    let reference = folder.attempt(&[]);
    // A conductor gets another number, which is no requirement: entry 2 is not what the chain was made of.
    let entry = reference.match_indices("\"at\"").nth(2).unwrap().0;
    let number = entry + reference[entry..].find("\"number\": \"").unwrap() + "\"number\": \"".len();
    let changed = format!("{}9{}", &reference[..number], &reference[number..]);
    let a = folder.file("a.json", by(&reference, "A"));
    let b = folder.file("b.json", by(&changed, "B"));
    let c = folder.file("c.jsonl", line(&by(&reference, "C")));
    let claim = reference.find("\"trace_hash\": \"").unwrap() + "\"trace_hash\": \"".len();
    let d = folder
        .file("d.json", format!("{}{}{}", &reference[..claim], "0".repeat(64), &reference[claim + 64..]));
    let (csv, html) = (folder.path("class.csv"), folder.path("class.html"));
    let (_, out, error) = told(&sealin(&["grade", &a, &b, &c, &d, "--json", "--csv", &csv, "--html", &html]));
    let values: Vec<_> = out.lines().map(json).collect();
    assert_eq!(
        (&values[0]["chain"], &values[0]["chain_broken_from"]),
        (&true.into(), &serde_json::Value::Null)
    );
    assert_eq!((&values[1]["chain"], &values[1]["chain_broken_from"]), (&false.into(), &2.into()));
    assert_eq!((&values[2]["claim"], &values[3]["claim"]), (&true.into(), &false.into()));
    let acts = values[0]["acts"].as_u64().unwrap();
    assert!(
        error.contains(&format!("{c}:1, and 1 more: the same acts at the same ticks, {acts} in all, as {a}")),
        "{error}"
    );
    let rows: Vec<csv::StringRecord> =
        csv::Reader::from_path(&csv).unwrap().into_records().map(Result::unwrap).collect();
    let remarks = |k: usize| rows[k][rows[k].len() - 2].to_string();
    assert!(remarks(0).contains("as 2 other attempts"), "{}", remarks(0));
    assert!(
        remarks(1).contains("the chain is broken from entry 2 on") && !remarks(1).contains("same"),
        "{}",
        remarks(1)
    );
    assert!(remarks(2).contains(&format!("the same {acts} acts at the same ticks as {a}")), "{}", remarks(2));
    assert!(remarks(3).contains("the claimed trace is not the one computed here"), "{}", remarks(3));
    for k in 0..4 {
        assert!(
            folder
                .read("class.html")
                .contains(&remarks(k).split("; ").next().unwrap().replace('\'', "&#39;"))
        );
    }
}

/// One file, well formed, without a script or anything from elsewhere; what learners wrote is text.
#[test]
fn the_page_stands_alone() {
    let folder = Folder::new("page");
    let evil = "<script>alert(1)</script><img src=x onerror=y> & \u{202e}\"'";
    let a = folder.file("a.json", by(&folder.attempt(&[]), evil));
    let b = folder.file("b.json", by(&folder.attempt(&["--given"]), "Rook"));
    let html = folder.path("class.html");
    sealin(&["grade", &a, &b, "--html", &html]);
    let page = folder.read("class.html");
    for never in
        ["<script", "<img", "http:", "https:", "@import", "url(", "javascript:", "style=\"", " onerror=y>"]
    {
        assert!(!page.contains(never), "{never}");
    }
    for always in [
        "<!doctype html>",
        "<html lang=\"en\">",
        "<title>",
        "default-src 'none'",
        "<caption>",
        "<th scope=\"col\">Learner</th>",
        "&lt;script&gt;",
        "Training model: simplified",
        "not forgery",
        "<td>112 of 120</td><td>passed</td>",
        "<td>27 of 120</td><td>not passed</td>",
    ] {
        assert!(page.contains(always), "{always}");
    }
    // 14 requirements, 4 predictions, 3 lines of craft: a column of the matrix and a line below it each, and the places agree.
    let ids = |before: &str| -> BTreeSet<String> {
        page.split(before).skip(1).map(|rest| rest[..rest.find('"').unwrap()].to_string()).collect()
    };
    let (links, places) = (ids("href=\"#"), ids("id=\""));
    assert!(links.is_subset(&places), "{links:?} {places:?}");
    assert_eq!(links.iter().filter(|link| link.starts_with("job-1-")).count(), 21);
    for element in [
        "table", "tr", "th", "td", "thead", "tbody", "tfoot", "section", "h2", "h3", "ul", "li", "dl", "dt",
        "dd", "bdi", "div", "nav",
    ] {
        let opened =
            page.matches(&format!("<{element}>")).count() + page.matches(&format!("<{element} ")).count();
        assert_eq!(opened, page.matches(&format!("</{element}>")).count(), "{element}");
    }
}

/// Lines of marks computed in parts, put together, are the class that one run makes.
#[test]
fn a_class_from_parts() {
    let folder = class("parts");
    let whole = folder.read("class/z.jsonl").repeat(2);
    let (csv, html) = (folder.path("one.csv"), folder.path("one.html"));
    let (_, out, _) = told(&grade_lines(whole.as_bytes(), &["--csv", &csv, "--html", &html]));
    let (first, second) = out.split_at(out.find('\n').unwrap() + 1);
    let (a, b) = (folder.file("a.jsonl", first), folder.file("b.jsonl", second));
    let (csv, html) = (folder.path("parts.csv"), folder.path("parts.html"));
    let (status, said, error) = told(&sealin(&["class", &a, &b, "--csv", &csv, "--html", &html]));
    assert_eq!((status, said.trim()), (2, "6 attempts, 2 passed, 2 could not be marked"), "{error}");
    // The second reference; whoever has done nothing yet has done nothing that could be the same.
    assert!(error.contains("attempt 6: the same acts at the same ticks"), "{error}");
    assert_eq!(error.matches("the same acts").count(), 1, "{error}");
    assert_eq!(folder.read("one.csv"), folder.read("parts.csv"));
    assert_eq!(folder.read("one.html"), folder.read("parts.html"));
    for wrong in ["{}\n", "[]\n", "{\"earned\": \"many\"}\n", "x\n"] {
        let path = folder.file("wrong.jsonl", wrong);
        let (status, _, error) = told(&sealin(&["class", &path]));
        assert_eq!((status, error.contains("line 1: no line of marks")), (2, true), "{error}");
    }
}

#[test]
fn nothing_to_mark_is_told() {
    let folder = Folder::new("nothing");
    let (status, _, error) = told(&sealin(&["grade", &folder.path("")]));
    assert_eq!((status, error.contains("there is no attempt")), (2, true), "{error}");
    assert_eq!(told(&sealin(&["grade", "-", "x.json"])).0, 2);
    assert_eq!(told(&sealin(&["grade", "-", "--threads", "0"])).0, 2);
    let (status, out, _) = told(&grade_lines(b"", &[]));
    assert_eq!((status, out.as_str()), (0, ""));
}
