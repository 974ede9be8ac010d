//! A requirement of a scenario's bench as a model for an outside model checker.

use crate::Answer;
use crate::input::Work;
use crate::task::{Task, Wanted};
use sealin_judge::{Case, export};
use std::path::Path;

/// Writes the model, and its tables beside it under the same name with `.h`.
pub fn write(scenario: &str, out: &Path, wanted: &Wanted, work: &Work) -> Result<Answer, String> {
    let session = work.session(scenario)?;
    let tasks = wanted.tasks(session.scenario())?;
    let [task] = &tasks[..] else {
        let ids: Vec<String> = tasks.iter().map(Task::name).collect();
        return Err(format!("a model is of one of them: --requirement with one of {}", ids.join(", ")));
    };
    let tables = out.with_extension("h");
    let name = tables.file_name().and_then(|name| name.to_str()).unwrap_or_default();
    if name.contains(['"', '\\']) {
        return Err(format!("{}: a name without quotation marks is expected", out.display()));
    }
    let plan = session.bench().plan();
    let case = Case::explored(format!("{}, {}", session.scenario().id, task.name()), task.question(plan, None))?;
    let written = export(&[case], name)?;
    for (path, text) in [(out, &written.model), (&tables, &written.tables)] {
        std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))?;
    }
    Ok(Answer::Yes)
}
