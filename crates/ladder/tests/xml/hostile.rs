//! Files that nobody means well with: they give an error with its place or a program, on a stack as small as that of a
//! WebAssembly module.

use std::fmt::Write;

use sealin_ladder::generate::Numbers;
use sealin_ladder::xml::{MAX_DEPTH, MAX_NOTES, MAX_XML_BYTES, Read, read};
use sealin_ladder::{Diagnostic, compile, print};

const TC6: &str = "xmlns=\"http://www.plcopen.org/xml/tc6_0201\"";

/// Reads on a stack of 1 MiB, and puts what was read through everything.
fn survives(text: String) -> Result<Read, Diagnostic> {
    let reading = move || {
        let found = read(&text);
        if let Ok(found) = &found {
            print(&found.program);
            let compiled = compile(&found.program, 5);
            compiled.scan(&mut compiled.cold_start(), u64::MAX);
            assert!(found.notes.len() <= MAX_NOTES + 1);
        }
        found
    };
    let thread = std::thread::Builder::new().stack_size(1 << 20).spawn(reading).expect("a thread");
    thread.join().expect("no panic")
}

fn refused(text: String, wanted: &str) -> (u32, u32) {
    let error = survives(text).expect_err("an error is expected");
    assert!(error.message.contains(wanted), "{error}");
    (error.line, error.column)
}

/// A project whose body holds these elements.
fn body(elements: &str) -> String {
    let vars: String =
        ["a", "q"].map(|name| format!("<variable name='{name}'><type><BOOL/></type></variable>")).concat();
    format!(
        "<project {TC6}><types><pous><pou name='p' pouType='program'><interface><localVars>{vars}</localVars></interface>\
         <body><LD><leftPowerRail localId='0'/>{elements}</LD></body></pou></pous></types></project>"
    )
}

fn element(kind: &str, id: usize, from: &[usize], text: &str) -> String {
    let connections: String = from.iter().map(|from| format!("<connection refLocalId='{from}'/>")).collect();
    format!(
        "<{kind} localId='{id}'><connectionPointIn>{connections}</connectionPointIn><variable>{text}</variable></{kind}>"
    )
}

#[test]
fn ten_megabytes_are_refused() {
    let mut numbers = Numbers::new(3);
    let noise: String =
        (0..5_000_000).map(|_| char::from_u32(0x20 + numbers.below(0x200)).unwrap_or('?')).collect();
    assert!(noise.len() > MAX_XML_BYTES);
    assert_eq!(refused(noise.clone(), "bytes"), (1, 1));
    assert_eq!(refused(body(&"<sluice/>".repeat(1_200_000)), "bytes"), (1, 1));
    // Below that bound other bounds hold.
    refused(noise[..noise.floor_char_boundary(8_000_000)].to_owned(), "");
    refused(body(&"<sluice/>".repeat(800_000)), "elements");
}

#[test]
fn deep_nesting_is_refused() {
    let (line, column) = refused("<a>".repeat(200_000), &format!("{MAX_DEPTH} elements inside each other"));
    assert_eq!((line, column as usize), (1, 3 * MAX_DEPTH + 1));
    let inside = format!("{}{}", "<x>".repeat(200_000), "</x>".repeat(200_000));
    refused(body(&inside), "inside each other");
    let depth = MAX_DEPTH - 7;
    let inside = format!("{}{}", "<x>".repeat(depth), "</x>".repeat(depth));
    let found = survives(body(&inside)).expect("deep enough");
    assert_eq!(found.notes.len(), 1, "the strangers are told once: {:?}", found.notes);
}

#[test]
fn many_attributes_and_namespaces_are_refused() {
    let attributes: String = (0..300_000).fold(String::new(), |mut text, index| {
        let _ = write!(text, " a{index}=''");
        text
    });
    refused(format!("<project{attributes}/>"), "attributes");
    refused(format!("<project {}/>", attributes.replace(" a", " xmlns:a")), "attributes");
    refused("<project a='1' a='2'/>".to_owned(), "given twice");
}

#[test]
fn document_types_and_entities_are_refused() {
    let bomb = "<!DOCTYPE a [<!ENTITY b 'bbbb'><!ENTITY c '&b;&b;&b;&b;'>]><a>&c;</a>";
    assert_eq!(refused(bomb.to_owned(), "document type"), (1, 1));
    refused("<!DOCTYPE a SYSTEM 'file:///etc/hostname'><a/>".to_owned(), "document type");
    assert_eq!(refused("<a>\n&b;</a>".to_owned(), "entities"), (2, 1));
    refused("<a b='&c;'/>".to_owned(), "attribute");
    refused("<?xml version='1.0' encoding='utf-16'?><a/>".to_owned(), "encoding");
}

#[test]
fn what_is_not_well_formed_is_refused_with_its_place() {
    assert_eq!(refused(String::new(), "an XML document"), (1, 1));
    assert_eq!(refused("\n\n words".to_owned(), "no text"), (1, 1));
    assert_eq!(refused("<a>\n<b></a>".to_owned(), "well-formed"), (2, 4));
    assert_eq!(refused("<a>\n".to_owned(), "inside an element"), (2, 1));
    assert_eq!(refused("<a/><a/>".to_owned(), "outermost"), (1, 5));
    assert_eq!(refused("<a/>".to_owned(), "tc6_0201"), (1, 1));
    refused("<project xmlns='http://www.plcopen.org/xml/tc6'/>".to_owned(), "tc6_0201");
    refused(format!("<project {TC6}/>"), "a program is expected");
}

/// 5,000 coils in a chain share what feeds them: together they would be 12 million contacts.
#[test]
fn shared_networks_are_bounded() {
    let mut chain = String::new();
    for index in 0..5000 {
        let (contact, coil) = (2 * index + 1, 2 * index + 2);
        chain += &element("contact", contact, &[contact - 1], "a");
        chain += &element("coil", coil, &[contact], "q");
    }
    let found = survives(body(&chain)).expect("a project");
    let contacts: u32 = found.program.rungs.iter().map(|rung| rung.contacts()).sum();
    assert!(!found.program.rungs.is_empty() && contacts <= 100_000, "{contacts} contacts");
    let last = found.notes.last().expect("the rest is told");
    assert!(last.done.contains("not told") || last.done.contains("comes to more"), "{last}");
}

/// Every one of many contacts feeds every one of many others; and a long chain of functions, and a ladder of bridges.
#[test]
fn tangled_bodies_are_read_or_told() {
    let first: Vec<usize> = (1..200).collect();
    let mut tangle: String = first.iter().map(|id| element("contact", *id, &[0], "a")).collect();
    tangle.extend((1000..1200).map(|id| element("contact", id, &first, "a")));
    tangle += &element("coil", 2000, &(1000..1200).collect::<Vec<usize>>(), "q");
    let found = survives(body(&tangle)).expect("a project");
    assert_eq!((found.program.rungs.len(), found.program.rungs[0].contacts()), (1, 399));

    let mut functions = String::new();
    for id in 1..5000 {
        let _ = write!(
            functions,
            "<block localId='{id}' typeName='NOT'><inputVariables><variable formalParameter='IN'><connectionPointIn>\
             <connection refLocalId='{}'/></connectionPointIn></variable></inputVariables><outputVariables>\
             <variable formalParameter='OUT'/></outputVariables></block>",
            id - 1
        );
    }
    functions += &element("coil", 6000, &[4999], "q");
    let found = survives(body(&functions)).expect("a project");
    assert_eq!(found.program.rungs.len(), 1, "{:?}", found.notes);

    let mut bridges = element("contact", 1, &[0], "a") + &element("contact", 2, &[0], "a");
    for step in 1..3000 {
        let (one, other) = (2 * step - 1, 2 * step);
        bridges += &element("contact", one + 2, &[one, other], "a");
        bridges += &element("contact", other + 2, &[other], "a");
    }
    bridges += &element("coil", 9000, &[5999, 6000], "q");
    let found = survives(body(&bridges)).expect("a project");
    assert_eq!((found.program.rungs.len(), found.notes.len()), (0, 1), "{:?}", found.notes);
    assert!(found.notes[0].done.contains("neither in series nor side by side"), "{:?}", found.notes);

    // Each level one deeper than the last.
    let mut deep = element("contact", 1, &[0], "a");
    for id in (2..2000).step_by(2) {
        deep += &element("contact", id, &[0], "a");
        deep += &element("contact", id + 1, &[id - 1, id], "a");
    }
    deep += &element("coil", 9000, &[1999], "q");
    let found = survives(body(&deep)).expect("a project");
    assert_eq!((found.program.rungs.len(), found.notes.len()), (0, 1), "{:?}", found.notes);
    assert!(found.notes[0].done.contains("nested"), "{:?}", found.notes);
}

/// A circle of elements, an element that feeds itself, and connections to nothing.
#[test]
fn circles_are_told() {
    let circle =
        element("contact", 1, &[2], "a") + &element("contact", 2, &[1], "a") + &element("coil", 3, &[2], "q");
    let own = element("contact", 4, &[4, 0], "a") + &element("coil", 5, &[4], "q");
    let nothing = element("coil", 6, &[77], "q") + &element("coil", 7, &[], "q");
    let found = survives(body(&format!("{circle}{own}{nothing}"))).expect("a project");
    assert_eq!((found.program.rungs.len(), found.notes.len()), (0, 4), "{:?}", found.notes);
}

/// Work that grows with the square of the file's length would be minutes here: a file of one line, in which every note
/// and every dependent contact counts a place, variables that all need a name of ours, contacts that are all read into a
/// bit before, connections that all go on elsewhere.
#[test]
fn large_bodies_of_one_line_are_read() {
    let bad: String = (1..18_000).map(|id| element("contact", id, &[id - 1], "strange")).collect();
    let found = survives(body(&(bad + &element("coil", 20_000, &[17_999], "q")))).expect("a project");
    assert_eq!((found.program.rungs.len(), found.notes.len()), (0, MAX_NOTES + 1));

    let names: String = (0..45_000).map(|_| "<variable name='é'><type><BOOL/></type></variable>").collect();
    let found = survives(body("").replace("<localVars>", &format!("<localVars>{names}"))).expect("a project");
    assert_eq!(found.program.vars.len(), 3, "one of a name, and two more");
    let names: String = (0..45_000)
        .map(|index| format!("<variable name='{index}é'><type><BOOL/></type></variable>"))
        .collect();
    let same: String = (0..45_000)
        .map(|index| {
            format!(
                "<variable name='{}'><type><BOOL/></type></variable>",
                "é".repeat(1 + index % 3) + &"ü".repeat(index % 40)
            )
        })
        .collect();
    for names in [names, same] {
        survives(body("").replace("<localVars>", &format!("<localVars>{names}"))).expect("a project");
    }

    let mut pairs = String::new();
    for index in 0..6000 {
        let id = 3 * index + 1;
        pairs += &element("contact", id, &[0], "q");
        pairs += &(element("coil", id + 1, &[id], "q") + &element("coil", id + 2, &[id], "q"));
    }
    let found = survives(body(&pairs)).expect("a project");
    assert_eq!(found.program.rungs.len(), 18_000, "each contact is read before, then drives two coils");

    let mut goes_on = String::new();
    for index in 0..9000 {
        let connections = "<connectionPointIn><connection refLocalId='0'/></connectionPointIn>";
        let (one, other) = (3 * index + 1, 3 * index + 2);
        let _ = write!(goes_on, "<connector localId='{one}' name='{index}'>{connections}</connector>");
        let _ = write!(goes_on, "<continuation localId='{other}' name='{index}'/>");
        goes_on += &element("coil", other + 1, &[other], "q");
    }
    let found = survives(body(&goes_on)).expect("a project");
    assert_eq!((found.program.rungs.len(), found.notes.len()), (9000, 0));
}
