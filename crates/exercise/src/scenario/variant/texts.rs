//! The texts of a scenario that a person reads, in which names that are dealt out stand in braces: `{I0}`.

use super::Scenario;

/// Each text, with where it stands.
pub(super) fn texts(s: &Scenario) -> Vec<(String, String)> {
    let mut all = Vec::new();
    // By the same visit as for changing them, so that none is checked and not changed.
    visit(&mut s.clone(), &mut |place, text| all.push((place.to_string(), text.clone())));
    all
}

/// Visits each text, with where it stands.
pub(super) fn visit(s: &mut Scenario, f: &mut dyn FnMut(&str, &mut String)) {
    for (place, text) in
        [("the title", &mut s.title), ("the machine", &mut s.machine), ("the brief", &mut s.brief_markdown)]
    {
        f(place, text);
    }
    s.cautions.iter_mut().for_each(|text| f("a caution", text));
    for part in &mut s.parts {
        f(&format!("the function of {}", part.tag), &mut part.function);
    }
    for (tag, label) in &mut s.labels {
        let place = format!("the label of {tag}");
        f(&place, &mut label.rating);
        f(&place, &mut label.why);
    }
    for (id, note) in &mut s.conductor_notes {
        f(&format!("the note at conductor {id}"), note);
    }
    for row in &mut s.todo {
        f("a row of what is to be wired", &mut row.purpose);
    }
    for row in &mut s.names {
        for text in [&mut row.name, &mut row.device, &mut row.comment] {
            f("a row of the I/O list", text);
        }
    }
    for q in &mut s.requirements {
        let place = format!("requirement {}", q.id);
        f(&place, &mut q.text);
        q.trials.iter_mut().for_each(|trial| f(&place, &mut trial.name));
    }
    for p in &mut s.predictions {
        let place = format!("prediction {}", p.id);
        f(&place, &mut p.question);
        f(&place, &mut p.why);
        p.answers.iter_mut().for_each(|answer| f(&place, &mut answer.text));
    }
    for hint in &mut s.hints {
        f(&format!("hint {}", hint.id), &mut hint.text);
    }
    s.matrix.effects.iter_mut().for_each(|text| f("the matrix", text));
    for row in &mut s.matrix.rows {
        f("the matrix", &mut row.cause);
        row.effects.iter_mut().for_each(|text| f("the matrix", text));
    }
}
