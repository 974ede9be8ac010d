//! A requirement of a scenario's bench as a model for an outside model checker.

use crate::Answer;
use crate::task::Wanted;
use sealin_exercise::proving::Task;
use sealin_exercise::session::Session;
use sealin_judge::{Case, export, export_ticks};
use std::path::Path;

/// Writes the model, and its tables beside it under the same name with `.h`.
pub fn write(session: &Session, out: &Path, wanted: &Wanted, ticks: bool) -> Result<Answer, String> {
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
    let question = task.question(plan, None);
    let written = if ticks {
        export_ticks(&question, name)?
    } else {
        export(&[Case::explored(format!("{}, {}", session.scenario().id, task.name()), question)?], name)?
    };
    for (path, text) in [(out, &written.model), (&tables, &written.tables)] {
        std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))?;
    }
    Ok(Answer::Yes)
}
