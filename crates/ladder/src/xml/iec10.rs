//! Writes IEC 61131-10:2019.
//!
//! From the standard's text: a body of rungs in the order of evaluation, each with its own rails; objects by `xsi:type`;
//! operands as attributes; outputs with a number of their own, which inputs refer to.

use std::collections::BTreeMap;

use super::Heading;
use super::markup::Markup;
use super::sheet::{Element, Kind, Pin, Sheet};
use crate::lex::normal_comment;
use crate::model::{Output, Program, Test, Var, VarKind};
use crate::time::print_time;

/// Namespace of IEC 61131-10.
const IEC10: &str = "www.iec.ch/public/TC65SC65BWG7TF10";

/// Namespace of `xsi:type` (XML Schema, part 1).
const XSI: &str = "http://www.w3.org/2001/XMLSchema-instance";

/// The numbers of outputs, by element and which of its outputs.
type Numbers = BTreeMap<(u32, usize), usize>;

/// The program as a whole project.
pub(super) fn write(program: &Program, heading: &Heading) -> String {
    let mut markup = Markup::new();
    let project = [("xmlns", IEC10), ("xmlns:xsi", XSI), ("schemaVersion", "1.0")];
    markup.within("Project", &project, |m| {
        m.empty(
            "FileHeader",
            &[("companyName", ""), ("productName", "Sealin"), ("productVersion", env!("CARGO_PKG_VERSION"))],
        );
        let content = [("name", program.name.as_str()), ("creationDateTime", heading.created)];
        m.within("ContentHeader", &content, |m| {
            m.within("CoordinateInfo", &[], |m| {
                for name in ["FbdScaling", "LdScaling", "SfcScaling"] {
                    m.empty(name, &[("x", "1"), ("y", "1")]);
                }
            });
        });
        m.within("Types", &[], |m| {
            m.within("GlobalNamespace", &[], |m| {
                m.within("Program", &[("name", &program.name)], |m| unit(m, program));
            });
        });
        m.within("Instances", &[], |m| instances(m, program, heading.period_ms));
    });
    markup.finish()
}

fn unit(m: &mut Markup, program: &Program) {
    documentation(m, &program.comment);
    for vars in program.vars.chunk_by(|one, next| one.retain == next.retain) {
        let retain: &[(&str, &str)] = if vars[0].retain { &[("retain", "true")] } else { &[] };
        m.within("Vars", retain, |m| vars.iter().for_each(|var| variable(m, var)));
    }
    m.within("MainBody", &[], |m| {
        m.within("BodyContent", &[("xsi:type", "LD")], |m| {
            let sheet = Sheet::of(program);
            let numbers = numbers(&sheet);
            for (index, elements) in rungs(&sheet).into_iter().enumerate() {
                let order = (index + 1).to_string();
                m.within("Rung", &[("evaluationOrder", &order)], |m| {
                    rung(m, &sheet, index, &elements, &numbers)
                });
            }
        });
    });
}

fn variable(m: &mut Markup, var: &Var) {
    m.within("Variable", &[("name", &var.name)], |m| {
        documentation(m, &var.comment);
        m.within("Type", &[], |m| m.text("TypeName", &[], var.kind.word()));
        if var.initial && var.kind == VarKind::Bool {
            m.within("InitialValue", &[], |m| m.empty("SimpleValue", &[("value", "TRUE")]));
        }
        if let Some(address) = var.address {
            m.empty("Address", &[("address", &address.to_string())]);
        }
    });
}

fn documentation(m: &mut Markup, comment: &str) {
    if !comment.is_empty() {
        m.text("Documentation", &[("xsi:type", "SimpleText")], &normal_comment(comment));
    }
}

fn instances(m: &mut Markup, program: &Program, period_ms: u32) {
    m.within("Configuration", &[("name", "bench")], |m| {
        m.within("Resource", &[("name", "controller"), ("resourceTypeName", "controller")], |m| {
            m.empty("Task", &[("name", "scan"), ("interval", &print_time(period_ms)), ("priority", "0")]);
            let instance = [("name", "main"), ("typeName", &program.name), ("associatedTaskName", "scan")];
            m.empty("ProgramInstance", &instance);
        });
    });
}

/// The elements of each rung.
fn rungs<'s, 'a>(sheet: &'s Sheet<'a>) -> Vec<Vec<&'s Element<'a>>> {
    let mut rungs: Vec<Vec<&Element>> = Vec::new();
    for element in &sheet.elements {
        if let Some(rung) = element.rung {
            rungs.resize_with(rungs.len().max(rung + 1), Vec::new);
            rungs[rung].push(element);
        }
    }
    rungs
}

/// The outputs of an element, but for the left rail.
fn outputs<'s>(element: &'s Element) -> &'s [Pin] {
    match &element.kind {
        Kind::Block { outputs, .. } => outputs,
        Kind::Contact { output, .. } | Kind::Coil { output, .. } | Kind::Value { output, .. } => {
            std::slice::from_ref(output)
        }
        Kind::LeftRail(_) | Kind::RightRail(_) | Kind::Comment(_) => &[],
    }
}

fn numbers(sheet: &Sheet) -> Numbers {
    let count = |element: &Element| match &element.kind {
        Kind::LeftRail(places) => places.len(),
        _ => outputs(element).len(),
    };
    let all = sheet.elements.iter();
    let outputs = all.flat_map(|element| (0..count(element)).map(|index| (element.id, index)));
    outputs.enumerate().map(|(number, output)| (output, number + 1)).collect()
}

fn rung(m: &mut Markup, sheet: &Sheet, index: usize, elements: &[&Element], numbers: &Numbers) {
    let top = elements.iter().map(|element| element.y).min().unwrap_or(0);
    // The left rail is the first element of the sheet, the right one the last.
    sheet.elements.first().into_iter().for_each(|one| rail(m, one, index, top, numbers));
    elements.iter().for_each(|one| object(m, one, top, numbers));
    sheet.elements.last().into_iter().for_each(|one| rail(m, one, index, top, numbers));
}

/// The stretch of a rail that a rung touches, if it does.
fn rail(m: &mut Markup, element: &Element, rung: usize, top: u32, numbers: &Numbers) {
    let (kind, places, is_left) = match &element.kind {
        Kind::LeftRail(places) => ("LeftPowerRail", places, true),
        Kind::RightRail(places) => ("RightPowerRail", places, false),
        _ => return,
    };
    // They stand in the order of the rungs.
    let first = places.partition_point(|(other, _)| *other < rung);
    let touched: Vec<(usize, &Pin)> = places[first..]
        .iter()
        .take_while(|(other, _)| *other == rung)
        .enumerate()
        .map(|(index, (_, pin))| (first + index, pin))
        .collect();
    if touched.is_empty() {
        return;
    }
    m.within("LdObject", &[("xsi:type", kind)], |m| {
        position(m, element.x, 0);
        for (place, pin) in touched {
            if is_left {
                output(m, pin, top, numbers[&(element.id, place)]);
            } else {
                input(m, pin, top, numbers);
            }
        }
    });
}

fn object(m: &mut Markup, element: &Element, top: u32, numbers: &Numbers) {
    let (name, mut attributes) = match &element.kind {
        Kind::Comment(_) => ("CommonObject", vec![("xsi:type", "Comment")]),
        Kind::Contact { operand, .. } => ("LdObject", vec![("xsi:type", "Contact"), ("operand", operand)]),
        Kind::Coil { coil, .. } => ("LdObject", vec![("xsi:type", "Coil"), ("operand", coil.var())]),
        Kind::Block { type_name, .. } => ("FbdObject", vec![("xsi:type", "Block"), ("typeName", type_name)]),
        Kind::Value { expression, .. } => {
            ("FbdObject", vec![("xsi:type", "DataSource"), ("identifier", expression.as_str())])
        }
        Kind::LeftRail(_) | Kind::RightRail(_) => return,
    };
    attributes.extend(match &element.kind {
        Kind::Contact { test: Test::Closed, .. } | Kind::Coil { coil: Output::Negated { .. }, .. } => {
            Some(("negated", "true"))
        }
        Kind::Contact { test: Test::Rising, .. } | Kind::Coil { coil: Output::Rising { .. }, .. } => {
            Some(("edge", "rising"))
        }
        Kind::Contact { test: Test::Falling, .. } | Kind::Coil { coil: Output::Falling { .. }, .. } => {
            Some(("edge", "falling"))
        }
        Kind::Coil { coil: Output::Set { .. }, .. } => Some(("latch", "set")),
        Kind::Coil { coil: Output::Reset { .. }, .. } => Some(("latch", "reset")),
        Kind::Block { instance, .. } => instance.map(|instance| ("instanceName", instance)),
        _ => None,
    });
    m.within(name, &attributes, |m| {
        position(m, element.x, element.y - top);
        content(m, element, numbers);
    });
}

fn content(m: &mut Markup, element: &Element, numbers: &Numbers) {
    match &element.kind {
        Kind::Comment(comment) => m.text("Content", &[("xsi:type", "SimpleText")], &normal_comment(comment)),
        Kind::Contact { input: from, .. } | Kind::Coil { input: from, .. } => input(m, from, 0, numbers),
        Kind::Block { inputs, outputs, .. } => {
            m.within("InputVariables", &[], |m| {
                for pin in inputs {
                    m.within("InputVariable", &[("parameterName", &pin.name)], |m| input(m, pin, 0, numbers));
                }
            });
            m.within("OutputVariables", &[], |m| {
                for (index, pin) in outputs.iter().enumerate() {
                    let number = numbers[&(element.id, index)];
                    m.within("OutputVariable", &[("parameterName", &pin.name)], |m| {
                        output(m, pin, 0, number)
                    });
                }
            });
            return;
        }
        Kind::Value { .. } | Kind::LeftRail(_) | Kind::RightRail(_) => {}
    }
    for (index, pin) in outputs(element).iter().enumerate() {
        output(m, pin, 0, numbers[&(element.id, index)]);
    }
}

/// An input; its height is counted from `top`.
fn input(m: &mut Markup, pin: &Pin, top: u32, numbers: &Numbers) {
    m.within("ConnectionPointIn", &[], |m| {
        position(m, pin.x, pin.y - top);
        for source in &pin.sources {
            let number = numbers[&(source.id, source.index)].to_string();
            m.empty("Connection", &[("refConnectionPointOutId", &number)]);
        }
    });
}

fn output(m: &mut Markup, pin: &Pin, top: u32, number: usize) {
    let number = number.to_string();
    m.within("ConnectionPointOut", &[("connectionPointOutId", &number)], |m| position(m, pin.x, pin.y - top));
}

fn position(m: &mut Markup, x: u32, y: u32) {
    m.empty("RelPosition", &[("x", &x.to_string()), ("y", &y.to_string())]);
}
