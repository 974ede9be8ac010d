//! The plant as tables: from every state and output image that the exploration met, every way in which a quantum can go.
//!
//! A model whose program comes to an image that the exploration did not meet in that state ends outside: that is a disagreement. Only
//! after a break, where the exploration ends early, the table does, too, and there a path ends unjudged.

use rustc_hash::FxHashMap;
use sealin_proof::explore::{Answer, Next, Relation, Way};
use std::fmt::{Display, Write as _};

/// Most pairs of a state and an image, met or not.
const MOST_PAIRS: usize = 64_000_000;

/// Where a way ends if in no state: in harm, or outside what the exploration covers.
pub const HARM: i32 = -1;
pub const OUTSIDE: i32 = -2;
/// Where the exploration had ended.
pub const BEYOND: i32 = -3;

/// What is seen of a quantum.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Course {
    scanned: Option<u64>,
    restarted: bool,
    ticks: Vec<u64>,
}

/// Tables of any number of plants.
#[derive(Default)]
pub struct Tables {
    /// Of each state and image of each plant, the number of its first way, and how many it has.
    rows: Vec<(usize, usize)>,
    /// Of each way, where it ends and its course.
    ways: Vec<(i32, u32)>,
    courses: Vec<Course>,
    known: FxHashMap<Course, u32>,
}

/// Where one plant is found.
#[derive(Clone, Copy)]
pub struct Place {
    /// Index of the first pair of state and image.
    pub base: usize,
    /// Number of images, and of states; the first state is that when power comes on.
    pub images: usize,
    pub states: usize,
}

impl Tables {
    /// Adds the plant of a question under a program with these outputs.
    ///
    /// # Errors
    /// If there are more pairs of states and images than a table may have.
    pub fn add(&mut self, relation: &Relation, outputs: &[u32]) -> Result<Place, String> {
        let unmet = if matches!(relation.report.answer, Answer::Broken(_)) { BEYOND } else { OUTSIDE };
        let small =
            |image: u64| outputs.iter().enumerate().fold(0, |all, (k, bit)| all | (image >> bit & 1) << k);
        let mut numbers: FxHashMap<u32, usize> = FxHashMap::default();
        let mut rows: FxHashMap<(usize, u64), Vec<(i32, u32)>> = FxHashMap::default();
        for (state, image) in relation.met() {
            let next = numbers.len();
            let from = *numbers.entry(state).or_insert(next);
            if rows.contains_key(&(from, small(image))) {
                continue;
            }
            let Some(ways) = relation.ways(state, image) else { continue };
            let mut row = Vec::with_capacity(ways.len());
            for way in ways {
                let to = match way.next {
                    Next::State(to) => {
                        let next = numbers.len();
                        *numbers.entry(to).or_insert(next) as i32
                    }
                    Next::Harm(..) => HARM,
                    Next::Outside(_) => OUTSIDE,
                };
                row.push((to, self.course(&way)));
            }
            row.sort_unstable();
            row.dedup();
            rows.insert((from, small(image)), row);
        }
        self.lay_out(&rows, numbers.len(), outputs.len(), unmet)
    }

    /// Puts the rows of every state and image in order; `unmet` is where those without end.
    fn lay_out(
        &mut self,
        rows: &FxHashMap<(usize, u64), Vec<(i32, u32)>>,
        states: usize,
        outputs: usize,
        unmet: i32,
    ) -> Result<Place, String> {
        let images = 1usize << outputs.min(32);
        if states.saturating_mul(images) > MOST_PAIRS {
            return Err(format!(
                "{states} states of the plant with {outputs} outputs are too many for a table"
            ));
        }
        let base = self.rows.len();
        let nowhere = self.ways.len();
        let nothing =
            self.course(&Way { next: Next::State(0), scanned: None, restarted: false, ticks: Vec::new() });
        self.ways.push((unmet, nothing));
        for state in 0..states {
            for image in 0..images as u64 {
                let Some(row) = rows.get(&(state, image)) else {
                    self.rows.push((nowhere, 1));
                    continue;
                };
                self.rows.push((self.ways.len(), row.len()));
                self.ways.extend(row);
            }
        }
        Ok(Place { base, images, states })
    }

    fn course(&mut self, way: &Way) -> u32 {
        let course = Course { scanned: way.scanned, restarted: way.restarted, ticks: way.ticks.clone() };
        let next = self.courses.len() as u32;
        *self.known.entry(course).or_insert_with_key(|course| {
            self.courses.push(course.clone());
            next
        })
    }

    /// As C.
    pub fn text(&self, places: &[Place]) -> String {
        let mut out = String::from(
            "/* Tables of the model beside this file. A course is what a scan period shows: whether the program runs and with\n   \
             which input image, whether it starts anew, and the signals tick by tick, a bit each. */\n",
        );
        let most = self.courses.iter().map(|c| c.ticks.len()).max().unwrap_or(0).max(1);
        let seen = self.courses.iter().flat_map(|c| {
            c.ticks.iter().copied().chain(std::iter::repeat(0)).take(most).map(|bits| format!("{bits}u"))
        });
        array(&mut out, "int", "CASE_BASE", places.iter().map(|p| p.base));
        array(&mut out, "int", "CASE_IMAGES", places.iter().map(|p| p.images));
        array(&mut out, "int", "FIRST_WAY", self.rows.iter().map(|row| row.0));
        array(&mut out, "int", "WAYS", self.rows.iter().map(|row| row.1));
        array(&mut out, "int", "WAY_TO", self.ways.iter().map(|way| way.0));
        array(&mut out, "int", "WAY_COURSE", self.ways.iter().map(|way| way.1));
        let _ = writeln!(out, "#define MOST_TICKS {most}");
        array(&mut out, "unsigned", "COURSE_SEEN", seen);
        array(&mut out, "unsigned char", "COURSE_TICKS", self.courses.iter().map(|c| c.ticks.len()));
        let inputs = self.courses.iter().map(|c| format!("{}ull", c.scanned.unwrap_or(0)));
        array(&mut out, "unsigned long long", "COURSE_INPUTS", inputs);
        let scanned = self.courses.iter().map(|c| u8::from(c.scanned.is_some()));
        array(&mut out, "unsigned char", "COURSE_SCANNED", scanned);
        array(
            &mut out,
            "unsigned char",
            "COURSE_RESTARTED",
            self.courses.iter().map(|c| u8::from(c.restarted)),
        );
        out
    }
}

fn array<T: Display>(out: &mut String, kind: &str, name: &str, values: impl Iterator<Item = T>) {
    let _ = write!(out, "static const {kind} {name}[] = {{");
    for (k, value) in values.enumerate() {
        let _ = write!(out, "{}{value},", if k % 24 == 0 { "\n" } else { "" });
    }
    out.push_str("\n};\n");
}
