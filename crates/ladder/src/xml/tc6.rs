//! Writes TC6 XML 0201.
//!
//! Order of elements and required attributes are those of the public schema. Names that the schema wants and a program
//! has not (configuration, resource, task) are fixed words.

use super::Heading;
use super::markup::Markup;
use super::sheet::{Element, Kind, Pin, Sheet, Source};
use super::{TC6, XHTML};
use crate::lex::normal_comment;
use crate::model::{Output, Program, Test, Var, VarKind};
use crate::time::print_time;

/// The program as a whole project.
pub(super) fn write(program: &Program, heading: &Heading) -> String {
    let mut markup = Markup::new();
    markup.within("project", &[("xmlns", TC6), ("xmlns:xhtml", XHTML)], |m| {
        m.empty(
            "fileHeader",
            &[
                ("companyName", ""),
                ("productName", "Sealin"),
                ("productVersion", env!("CARGO_PKG_VERSION")),
                ("creationDateTime", heading.created),
            ],
        );
        m.within("contentHeader", &[("name", &program.name)], |m| {
            m.within("coordinateInfo", &[], |m| {
                for language in ["fbd", "ld", "sfc"] {
                    m.within(language, &[], |m| m.empty("scaling", &[("x", "1"), ("y", "1")]));
                }
            });
        });
        m.within("types", &[], |m| {
            m.empty("dataTypes", &[]);
            m.within("pous", &[], |m| pou(m, program));
        });
        m.within("instances", &[], |m| instances(m, program, heading.period_ms));
    });
    markup.finish()
}

fn pou(m: &mut Markup, program: &Program) {
    m.within("pou", &[("name", &program.name), ("pouType", "program")], |m| {
        m.within("interface", &[], |m| {
            // A list of variables is retained as a whole, so a new one begins where that changes.
            for vars in program.vars.chunk_by(|one, next| one.retain == next.retain) {
                let retain: &[(&str, &str)] = if vars[0].retain { &[("retain", "true")] } else { &[] };
                m.within("localVars", retain, |m| vars.iter().for_each(|var| variable(m, var)));
            }
        });
        m.within("body", &[], |m| {
            let sheet = Sheet::of(program);
            m.within("LD", &[], |m| sheet.elements.iter().for_each(|one| element(m, one)));
        });
        documentation(m, &program.comment);
    });
}

fn variable(m: &mut Markup, var: &Var) {
    let address = var.address.map(|address| address.to_string());
    let mut attributes = vec![("name", var.name.as_str())];
    attributes.extend(address.as_deref().map(|address| ("address", address)));
    m.within("variable", &attributes, |m| {
        m.within("type", &[], |m| match var.kind {
            VarKind::Bool => m.empty("BOOL", &[]),
            VarKind::Block(block) => m.empty("derived", &[("name", block.word())]),
        });
        if var.initial && var.kind == VarKind::Bool {
            m.within("initialValue", &[], |m| m.empty("simpleValue", &[("value", "TRUE")]));
        }
        documentation(m, &var.comment);
    });
}

fn documentation(m: &mut Markup, comment: &str) {
    if !comment.is_empty() {
        m.within("documentation", &[], |m| lines(m, comment));
    }
}

/// A text in lines, as XHTML keeps them.
fn lines(m: &mut Markup, comment: &str) {
    m.text("xhtml:pre", &[], &normal_comment(comment));
}

fn instances(m: &mut Markup, program: &Program, period_ms: u32) {
    m.within("configurations", &[], |m| {
        m.within("configuration", &[("name", "bench")], |m| {
            m.within("resource", &[("name", "controller")], |m| {
                let interval = print_time(period_ms);
                let task = [("name", "scan"), ("interval", interval.as_str()), ("priority", "0")];
                m.within("task", &task, |m| {
                    m.empty("pouInstance", &[("name", "main"), ("typeName", &program.name)]);
                });
            });
        });
    });
}

fn element(m: &mut Markup, element: &Element) {
    let text = |number: u32| number.to_string();
    let (id, width, height) = (text(element.id), text(element.width), text(element.height));
    let mut attributes = vec![("localId", id.as_str()), ("width", &width), ("height", &height)];
    let name = match &element.kind {
        Kind::LeftRail(_) => "leftPowerRail",
        Kind::RightRail(_) => "rightPowerRail",
        Kind::Comment(_) => "comment",
        Kind::Contact { test, .. } => {
            attributes.extend(match test {
                Test::Open => None,
                Test::Closed => Some(("negated", "true")),
                Test::Rising => Some(("edge", "rising")),
                Test::Falling => Some(("edge", "falling")),
            });
            "contact"
        }
        Kind::Coil { coil, .. } => {
            attributes.extend(match coil {
                Output::Negated { .. } => Some(("negated", "true")),
                Output::Set { .. } => Some(("storage", "set")),
                Output::Reset { .. } => Some(("storage", "reset")),
                Output::Rising { .. } => Some(("edge", "rising")),
                Output::Falling { .. } => Some(("edge", "falling")),
                Output::Coil { .. } | Output::Block(_) => None,
            });
            "coil"
        }
        Kind::Block { type_name, instance, .. } => {
            attributes.push(("typeName", type_name));
            attributes.extend(instance.map(|instance| ("instanceName", instance)));
            "block"
        }
        Kind::Value { .. } => "inVariable",
    };
    m.within(name, &attributes, |m| {
        position(m, "position", element.x, element.y);
        content(m, element);
    });
}

fn content(m: &mut Markup, element: &Element) {
    match &element.kind {
        Kind::LeftRail(pins) => pins.iter().for_each(|(_, pin)| output(m, pin, &[("formalParameter", "")])),
        Kind::RightRail(pins) => pins.iter().for_each(|(_, pin)| input(m, pin)),
        Kind::Comment(comment) => m.within("content", &[], |m| lines(m, comment)),
        Kind::Contact { operand, input: from, output: to, .. } => {
            input(m, from);
            output(m, to, &[]);
            m.text("variable", &[], operand);
        }
        Kind::Coil { coil, input: from, output: to } => {
            input(m, from);
            output(m, to, &[]);
            m.text("variable", &[], coil.var());
        }
        Kind::Block { inputs, outputs, .. } => {
            m.within("inputVariables", &[], |m| {
                for pin in inputs {
                    m.within("variable", &[("formalParameter", &pin.name)], |m| input(m, pin));
                }
            });
            m.empty("inOutVariables", &[]);
            m.within("outputVariables", &[], |m| {
                for pin in outputs {
                    m.within("variable", &[("formalParameter", &pin.name)], |m| output(m, pin, &[]));
                }
            });
        }
        Kind::Value { expression, output: to } => {
            output(m, to, &[]);
            m.text("expression", &[], expression);
        }
    }
}

fn input(m: &mut Markup, pin: &Pin) {
    m.within("connectionPointIn", &[], |m| {
        position(m, "relPosition", pin.x, pin.y);
        pin.sources.iter().for_each(|source| connection(m, source));
    });
}

/// A connection; the schema leaves how it is drawn open.
fn connection(m: &mut Markup, source: &Source) {
    let id = source.id.to_string();
    let mut attributes = vec![("refLocalId", id.as_str())];
    if !source.name.is_empty() {
        attributes.push(("formalParameter", &source.name));
    }
    m.empty("connection", &attributes);
}

fn output(m: &mut Markup, pin: &Pin, attributes: &[(&str, &str)]) {
    m.within("connectionPointOut", attributes, |m| position(m, "relPosition", pin.x, pin.y));
}

fn position(m: &mut Markup, name: &str, x: u32, y: u32) {
    m.empty(name, &[("x", &x.to_string()), ("y", &y.to_string())]);
}
