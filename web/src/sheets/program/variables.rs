//! Changes to the variables of a program, made in the I/O list and written into the text.

use crate::t;
use sealin_ladder::{Output, Program, Reading, Severity, Var, rewrite};

/// A change to the variables.
#[derive(Clone, Debug, PartialEq)]
pub enum VarChange {
    /// One more.
    New(Var),
    /// Variable of this index is this now; a new name goes through the whole program.
    Alter(usize, Var),
    /// Variable of this index goes.
    Delete(usize),
}

/// The text after a change.
///
/// # Errors
/// Why it cannot be made, in words.
pub fn changed(source: &str, reading: &Reading, change: &VarChange) -> Result<String, String> {
    let vars = &reading.program.vars;
    let cannot = || t!("program-cannot").to_string();
    let text = match change {
        VarChange::New(var) => {
            free(vars, &var.name, None)?;
            let source = if source.trim().is_empty() { super::typed::EMPTY } else { source };
            rewrite::declare(source, var).ok_or_else(cannot)?
        }
        VarChange::Alter(index, var) => {
            let old = vars.get(*index).ok_or_else(cannot)?;
            free(vars, &var.name, Some(*index))?;
            let mut text = source.to_string();
            let same_name = Var { name: old.name.clone(), ..var.clone() };
            if same_name != *old {
                text = rewrite::redeclare(&text, reading, *index, &same_name).ok_or_else(cannot)?;
            }
            if var.name != old.name {
                text = rewrite::rename(&text, &old.name, &var.name).ok_or_else(cannot)?;
            }
            text
        }
        VarChange::Delete(index) => {
            let name = &vars.get(*index).ok_or_else(cannot)?.name;
            let used = rungs_with(&reading.program, name);
            if !used.is_empty() {
                let rungs: Vec<String> = used.iter().map(|rung| (rung + 1).to_string()).collect();
                return Err(t!("program-io-used", name = name, rungs = rungs.join(", ")));
            }
            rewrite::undeclare(source, reading, *index).ok_or_else(cannot)?
        }
    };
    let errors = |reading: &Reading| -> Vec<String> {
        let errors = reading.diagnostics.iter().filter(|d| d.severity == Severity::Error);
        errors.map(|d| d.message.clone()).collect()
    };
    let before = errors(reading);
    match errors(&sealin_ladder::read(&text)).into_iter().find(|message| !before.contains(message)) {
        Some(new) => Err(new),
        None => Ok(text),
    }
}

fn free(vars: &[Var], name: &str, own: Option<usize>) -> Result<(), String> {
    let probe = format!("PROGRAM p VAR {name} : BOOL; END_VAR END_PROGRAM");
    let is_name = sealin_ladder::parse(&probe).is_ok_and(|p| p.vars.len() == 1 && p.vars[0].name == name);
    if !is_name {
        return Err(t!("program-no-name", name = name));
    }
    let taken = |(at, var): (usize, &Var)| own != Some(at) && var.name.eq_ignore_ascii_case(name);
    if vars.iter().enumerate().any(taken) { Err(t!("program-io-taken", name = name)) } else { Ok(()) }
}

/// Indices of the rungs that read or write a variable.
pub fn rungs_with(program: &Program, name: &str) -> Vec<usize> {
    let is_it = |found: &str| found.split('.').next().is_some_and(|base| base.eq_ignore_ascii_case(name));
    let uses = |rung: &sealin_ladder::Rung| {
        let mut reads = false;
        rung.each_contact(&mut |contact| reads |= contact.names().any(is_it));
        let drives = match &rung.output {
            Output::Block(call) => call.instance.eq_ignore_ascii_case(name),
            coil => is_it(coil.var()),
        };
        reads || drives
    };
    (0..program.rungs.len()).filter(|rung| uses(&program.rungs[*rung])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_ladder::{VarKind, read};

    const SOURCE: &str = "PROGRAM p
VAR
    a AT %IX0.0 : BOOL;  (* STOP *)
    q : BOOL;
    spare : BOOL;
    t : TON;
END_VAR
(* a stays in words *) q := a AND t.Q;
t(IN := a, PT := T#1s);
END_PROGRAM
";

    fn after(change: VarChange) -> Result<String, String> {
        changed(SOURCE, &read(SOURCE), &change)
    }

    fn var(index: usize) -> Var {
        read(SOURCE).program.vars[index].clone()
    }

    #[test]
    fn a_new_name_goes_through_the_program_and_comments_stay() {
        let text = after(VarChange::Alter(0, Var { name: "SF1_in".into(), ..var(0) })).unwrap();
        assert_eq!(
            text,
            SOURCE
                .replace("a AT", "SF1_in AT")
                .replace(":= a AND", ":= SF1_in AND")
                .replace("IN := a", "IN := SF1_in")
        );
        let pause = after(VarChange::Alter(3, Var { name: "pause".into(), ..var(3) })).unwrap();
        assert!(pause.contains("AND pause.Q;\npause(IN"), "{pause}");
    }

    #[test]
    fn comment_and_address_change_in_the_declaration() {
        let address =
            sealin_ladder::read("PROGRAM p VAR x AT %QX0.1 : BOOL; END_VAR END_PROGRAM").program.vars[0]
                .address;
        let text = after(VarChange::Alter(1, Var { address, comment: "raise".into(), ..var(1) })).unwrap();
        assert_eq!(text, SOURCE.replace("q : BOOL;", "q AT %QX0.1 : BOOL;  (* raise *)"));
    }

    #[test]
    fn what_is_used_or_taken_or_no_name_is_refused() {
        assert!(after(VarChange::Delete(0)).unwrap_err().contains("1, 2"));
        assert_eq!(after(VarChange::Delete(2)).unwrap(), SOURCE.replace("    spare : BOOL;\n", ""));
        for name in ["Q", "1x", "", "and", "a b", "x; y"] {
            assert!(after(VarChange::New(Var { name: name.into(), ..var(2) })).is_err(), "{name}");
        }
        let taken = Var { name: "x".into(), ..var(0) };
        assert!(after(VarChange::New(taken)).is_err(), "the address is another's");
        let timer = Var { name: "t2".into(), kind: VarKind::Block(sealin_ladder::Block::Tof), ..var(3) };
        assert!(after(VarChange::New(timer)).unwrap().contains("t2 : TOF;"));
    }

    #[test]
    fn an_empty_text_is_begun() {
        let text = changed("", &read(""), &VarChange::New(var(2))).unwrap();
        assert_eq!(read(&text).program.vars.len(), 1);
    }
}
