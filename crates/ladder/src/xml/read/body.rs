//! Bodies: ladder by its connections, text by our own reader.

use std::collections::BTreeMap;

use super::super::document::Element;
use super::Reading;
use super::drives::{Drive, Drives, is_apart};
use super::elements::{Edge, Input, Item, Kind, Marks, Source, Storage, shown};
use super::names::Bit;
use super::reduce::{Graph, Part, RAIL, What};
use super::short;
use crate::block::{Block, Preset};
use crate::model::{Call, Comparison, Constant, Contact, Operand, Output, Relation, Test, VarKind};

impl<'d> Reading<'d> {
    pub(super) fn body(&mut self, body: Element<'d>) {
        for inner in body.elements() {
            match inner.name() {
                "LD" if inner.is("LD") => self.ladder(inner.see()),
                "ST" if inner.is("ST") => self.structured_text(inner),
                language @ ("FBD" | "IL" | "SFC") if inner.is(language) => {
                    inner.see_all();
                    self.note(
                        inner,
                        &format!("a body in {language} is not read; left out with all that it does"),
                    );
                }
                _ => {}
            }
        }
    }

    fn ladder(&mut self, body: Element<'d>) {
        let items = self.items(body);
        let drives = Drives::of(&items);
        let mut builder =
            Builder { reading: self, items: &items, graph: Graph::new(), outs: BTreeMap::new(), drives };
        builder.run();
        let Builder { graph, drives, .. } = builder;
        self.rungs_of(graph, drives, &items);
    }
}

struct Builder<'r, 'd> {
    reading: &'r mut Reading<'d>,
    items: &'r [Item<'d>],
    graph: Graph,
    /// The point behind each output: by element and formal parameter.
    outs: BTreeMap<(usize, String), u32>,
    drives: Drives,
}

/// A value, and its sort.
type Figure = (Operand, Preset);

impl<'d> Builder<'_, 'd> {
    /// Takes the elements one by one, what feeds an element before it.
    fn run(&mut self) {
        for index in std::mem::take(&mut self.drives.sequence) {
            let items = self.items;
            match &items[index].kind {
                Kind::LeftRail | Kind::RightRail | Kind::Comment => {}
                Kind::Contact(marks) => self.contact(index, marks),
                Kind::Coil(marks) => self.coil(index, marks),
                Kind::Taker(marks) => {
                    self.coil(index, marks);
                    self.outs.remove(&(index, String::new()));
                }
                Kind::Value(marks) => {
                    let part = self.operand(marks, index);
                    self.exit(index, "", Some(RAIL), part);
                }
                Kind::Connector(_) => {
                    let from = self.entry(index);
                    self.exit(index, "", from, Ok(Part::Wire));
                }
                Kind::Continuation(name) => self.continuation(index, name),
                Kind::Block { type_name, instance } => self.block(index, type_name, instance.as_deref()),
            }
        }
        for index in 0..self.items.len() {
            if !self.drives.used[index] && !is_apart(&self.items[index]) {
                self.reading
                    .note(self.items[index].element, "it drives nothing that is understood; left out");
            }
        }
    }

    /// What is told of an output that something not understood feeds.
    fn reason(&self, index: usize) -> String {
        let line = self.reading.places.line(self.items[index].element.at());
        format!("it depends on {} of line {line}, which is not understood", shown(&self.items[index]))
    }

    /// Sets what leads to an output of an element; nothing leads there where its input is open.
    fn exit(&mut self, index: usize, name: &str, from: Option<u32>, part: Result<Part, String>) {
        let part = part.map_err(|_| self.reason(index));
        let point = match from {
            Some(from) => self.graph.after(from, part),
            None => self.graph.point(),
        };
        self.outs.insert((index, name.to_owned()), point);
    }

    /// The point that feeds an element with one input; none if nothing is connected.
    fn entry(&mut self, index: usize) -> Option<u32> {
        let items = self.items;
        let sources = items[index].inputs.iter().flat_map(|input| &input.sources);
        let points = sources.map(|source| self.source(source)).collect();
        self.graph.joint(points)
    }

    /// The point at the other end of a connection.
    fn source(&mut self, source: &Source) -> u32 {
        let wrong = match source.item {
            Some(index) if matches!(self.items[index].kind, Kind::LeftRail) => return RAIL,
            Some(index) => {
                let name = match self.items[index].kind {
                    Kind::Block { .. } => source.name.clone(),
                    _ => String::new(),
                };
                match self.outs.get(&(index, name)) {
                    Some(point) => return *point,
                    None => self.reason(index),
                }
            }
            None => "it is connected to an element that is not understood".to_owned(),
        };
        self.graph.after(RAIL, Err(wrong))
    }

    fn contact(&mut self, index: usize, marks: &Marks) {
        let part = self.operand(marks, index);
        let from = self.entry(index);
        self.exit(index, "", from, part);
    }

    /// A bit as a contact. What is wrong with it has been told.
    fn operand(&mut self, marks: &Marks, index: usize) -> Result<Part, String> {
        let items = self.items;
        let is_value = matches!(items[index].kind, Kind::Value(_));
        if is_value && self.reading.names.value(&marks.text).is_ok() && marks.text != "0" && marks.text != "1"
        {
            // A time or count: the input that it feeds asks for its text.
            return Err(String::new());
        }
        let test = match (marks.negated, marks.edge, marks.storage) {
            (false, Edge::None, Storage::None) => Ok(Test::Open),
            (true, Edge::None, Storage::None) => Ok(Test::Closed),
            (false, Edge::Rising, Storage::None) => Ok(Test::Rising),
            (false, Edge::Falling, Storage::None) => Ok(Test::Falling),
            _ => Err("what is marked on it has no meaning together".to_owned()),
        };
        let bit = test.and_then(|test| Ok((test, self.reading.names.bit(&marks.text)?)));
        let at = items[index].element.at();
        match bit {
            Ok((test, Bit::Name(var))) => Ok(self.graph.leaf(What::Contact(Contact::Bit { var, test }), at)),
            Ok((test, Bit::Constant(value))) if !test.is_edge() => {
                Ok(self.graph.leaf(What::Constant(value == (test == Test::Open)), at))
            }
            Ok(_) => Err(self.left_out(index, "a constant has no edges")),
            Err(wrong) => Err(self.left_out(index, &wrong)),
        }
    }

    /// Tells why an element is left out.
    fn left_out(&mut self, index: usize, why: &str) -> String {
        self.reading
            .note(self.items[index].element, &format!("{why}; left out with the rungs that it stands in"));
        why.to_owned()
    }

    fn coil(&mut self, index: usize, marks: &Marks) {
        let items = self.items;
        let from = self.entry(index);
        // A coil passes on what reaches it.
        if let Some(from) = from {
            self.outs.insert((index, String::new()), from);
        }
        let output = self.reading.names.written(&marks.text).and_then(|var| {
            Ok(match (marks.negated, marks.edge, marks.storage) {
                (false, Edge::None, Storage::None) => Output::Coil { var },
                (true, Edge::None, Storage::None) => Output::Negated { var },
                (false, Edge::None, Storage::Set) => Output::Set { var },
                (false, Edge::None, Storage::Reset) => Output::Reset { var },
                (false, Edge::Rising, Storage::None) => Output::Rising { var },
                (false, Edge::Falling, Storage::None) => Output::Falling { var },
                _ => return Err("what is marked on it has no meaning together".to_owned()),
            })
        });
        let drive = output.and_then(|output| {
            let from = from.ok_or_else(|| "nothing is connected to it".to_owned())?;
            Ok((output, self.graph.reduce(from)?))
        });
        match drive {
            Ok((output, logic)) => self.drives.add(Drive { item: index, output, logic, further: Vec::new() }),
            Err(why) => {
                self.reading.note(items[index].element, &format!("{}: {why}; left out", short(&marks.text)))
            }
        }
    }

    fn continuation(&mut self, index: usize, name: &str) {
        // The connectors of its name are what feeds it.
        let point = match self.drives.feeds[index].as_slice() {
            [end] => self.outs.get(&(*end, String::new())).copied(),
            _ => None,
        };
        match point {
            Some(point) => drop(self.outs.insert((index, String::new()), point)),
            None => {
                let why = format!("there is not exactly one connector {}", short(name));
                let part = Err(self.left_out(index, &why));
                self.exit(index, "", Some(RAIL), part);
            }
        }
    }

    fn block(&mut self, index: usize, type_name: &str, instance: Option<&str>) {
        let read = self.powered(index).and_then(|()| match (Block::from_word(type_name), instance) {
            (Some(block), Some(instance)) => self.call(index, block, instance),
            (Some(block), None) => Err(format!("a {} needs an instance", block.word())),
            (None, None) => self.function(index, type_name),
            (None, Some(_)) => Err(format!("the block {} is not read", short(type_name))),
        });
        if let Err(why) = read {
            self.left_out(index, &why);
        }
    }

    /// Whether a block is always executed: its EN is not there, open, or at the left rail.
    fn powered(&mut self, index: usize) -> Result<(), String> {
        let items = self.items;
        let at_rail =
            |source: &Source| source.item.is_some_and(|item| matches!(items[item].kind, Kind::LeftRail));
        let enable = items[index].inputs.iter().find(|input| input.name == "EN");
        let always = enable.is_none_or(|input| {
            let is_true = input.expression.as_deref().is_none_or(|text| text.eq_ignore_ascii_case("TRUE"));
            let by_rail = input.sources.is_empty() || input.sources.iter().any(at_rail);
            by_rail && is_true && !input.negated && !input.marked
        });
        if !always {
            return Err(
                "its EN is not always 1, and what it gives without EN the standard leaves open".to_owned()
            );
        }
        if items[index].outputs.iter().any(|output| output.name == "ENO" && !output.negated && !output.marked)
        {
            self.outs.insert((index, "ENO".to_owned()), RAIL);
        }
        Ok(())
    }

    /// The point that feeds an input of a block; none if nothing does.
    fn fed(&mut self, index: usize, input: &Input) -> Result<Option<u32>, String> {
        if input.marked {
            return Err(format!("an edge or a storage at its input {} is not read", short(&input.name)));
        }
        let point = match &input.expression {
            Some(text) => {
                let at = self.items[index].element.at();
                let part = match self.reading.names.bit(text)? {
                    Bit::Name(var) => {
                        self.graph.leaf(What::Contact(Contact::Bit { var, test: Test::Open }), at)
                    }
                    Bit::Constant(value) => self.graph.leaf(What::Constant(value), at),
                };
                Some(self.graph.after(RAIL, Ok(part)))
            }
            None => {
                let points = input.sources.iter().map(|source| self.source(source)).collect();
                self.graph.joint(points)
            }
        };
        match point {
            Some(point) if input.negated => self.graph.inverted(point).map(Some),
            None if input.negated => Err(format!("its input {} is negated and open", short(&input.name))),
            point => Ok(point),
        }
    }

    /// The time or count that an input of a block is given; none if nothing is.
    fn figure(&mut self, input: &Input) -> Result<Option<Figure>, String> {
        if input.marked || input.negated {
            return Err(format!(
                "its input {} is a value; what is marked on it is not read",
                short(&input.name)
            ));
        }
        if let Some(text) = &input.expression {
            return self.reading.names.value(text).map(Some);
        }
        let [source] = input.sources.as_slice() else {
            let open = input.sources.is_empty();
            return if open {
                Ok(None)
            } else {
                Err(format!("its input {} has several values", short(&input.name)))
            };
        };
        match source.item.map(|item| &self.items[item].kind) {
            Some(Kind::Value(Marks { text, negated: false, edge: Edge::None, storage: Storage::None })) => {
                self.reading.names.value(text).map(Some)
            }
            Some(Kind::Block { type_name, instance: Some(instance) }) => match Block::from_word(type_name) {
                Some(block) => self.reading.names.pin(instance, block, &source.name).map(Some),
                None => Err(format!("{} is no value that is known", short(instance))),
            },
            _ => Err(format!("its input {} is given no value that is known", short(&input.name))),
        }
    }

    /// A call of a function block.
    fn call(&mut self, index: usize, block: Block, instance: &str) -> Result<(), String> {
        let items = self.items;
        let instance = match self.reading.names.var(instance) {
            Some(var) if var.kind == VarKind::Block(block) => var.name.clone(),
            _ => return Err(format!("{} is not declared as a {}", short(instance), block.word())),
        };
        if !self.drives.called.insert(instance.to_ascii_uppercase()) {
            return Err(format!("{instance} is called already"));
        }
        let mut pins: Vec<Option<u32>> = vec![None; block.inputs().len()];
        let mut preset = block.preset().map(|sort| match sort {
            Preset::Time => Constant::Time(0),
            Preset::Count => Constant::Count(0),
        });
        for input in &items[index].inputs {
            if let Some(pin) = block.inputs().iter().position(|name| input.name == *name) {
                pins[pin] = self.fed(index, input)?;
            } else if let Some(sort) = block.preset().filter(|sort| input.name == sort.pin()) {
                match self.figure(input)? {
                    Some((Operand::Constant(figure), found)) if found == sort => preset = Some(figure),
                    None => {}
                    Some(_) => return Err(format!("its {} is no constant of its sort", sort.pin())),
                }
            } else if input.name != "EN" {
                return Err(format!("a {} has no input {}", block.word(), short(&input.name)));
            }
        }
        let mut parts = Vec::new();
        for pin in pins {
            parts.push(pin.map(|point| self.graph.reduce(point)).transpose()?);
        }
        let at = items[index].element.at();
        let further = parts.split_off(1);
        // An input that nothing feeds keeps its initial value, 0.
        let logic = parts.pop().flatten().unwrap_or_else(|| self.graph.leaf(What::Constant(false), at));
        let call = Call { instance: instance.clone(), block, further: Vec::new(), preset };
        self.drives.add(Drive { item: index, output: Output::Block(call), logic, further });
        let mut known = Vec::new();
        for name in block.outputs() {
            let given = items[index].outputs.iter().find(|output| output.name == *name);
            let test = if given.is_some_and(|output| output.negated) { Test::Closed } else { Test::Open };
            let part =
                match given.is_some_and(|output| output.marked) {
                    true => Err(self
                        .left_out(index, &format!("an edge or a storage at its output {name} is not read"))),
                    false => Ok(self
                        .graph
                        .leaf(What::Contact(Contact::Bit { var: format!("{instance}.{name}"), test }), at)),
                };
            self.exit(index, name, Some(RAIL), part);
            known.push(self.outs[&(index, (*name).to_owned())]);
        }
        if let [only] = known.as_slice() {
            self.outs.insert((index, String::new()), *only);
        }
        Ok(())
    }

    fn function(&mut self, index: usize, type_name: &str) -> Result<(), String> {
        let items = self.items;
        let item = &items[index];
        let inputs: Vec<&Input> = item.inputs.iter().filter(|input| input.name != "EN").collect();
        let relation =
            Relation::ALL.into_iter().find(|relation| relation.function().eq_ignore_ascii_case(type_name));
        let out = match (relation, type_name.to_ascii_uppercase().as_str()) {
            (Some(relation), _) => {
                let comparison = self.comparison(relation, &inputs)?;
                let leaf = self.graph.leaf(What::Contact(Contact::Compare(comparison)), item.element.at());
                self.graph.after(RAIL, Ok(leaf))
            }
            (None, "AND" | "&") if !inputs.is_empty() => {
                let mut points = self.all_fed(index, &inputs)?.into_iter();
                let first = points.next().unwrap_or(RAIL);
                let mut guards = Part::Wire;
                for point in points {
                    guards = guards.then(self.graph.reduce(point)?);
                }
                self.graph.after(first, Ok(guards))
            }
            (None, "OR") if !inputs.is_empty() => {
                let points = self.all_fed(index, &inputs)?;
                let out = self.graph.point();
                points.into_iter().for_each(|point| self.graph.lead(point, out, Ok(Part::Wire)));
                out
            }
            (None, "NOT") if inputs.len() == 1 => {
                let point = self.all_fed(index, &inputs)?[0];
                self.graph.inverted(point)?
            }
            _ => return Err(format!("the function {} is not read", short(type_name))),
        };
        let mut outputs = item.outputs.iter().filter(|output| output.name != "ENO");
        let output = match (outputs.next(), outputs.next()) {
            (Some(output), None) if !output.marked => output,
            _ => return Err("one output without an edge or a storage is expected".to_owned()),
        };
        let out = if output.negated { self.graph.inverted(out)? } else { out };
        self.outs.insert((index, output.name.clone()), out);
        self.outs.insert((index, String::new()), out);
        Ok(())
    }

    /// The points that feed all inputs of a function.
    fn all_fed(&mut self, index: usize, inputs: &[&Input]) -> Result<Vec<u32>, String> {
        let mut points = Vec::new();
        for input in inputs {
            let point = self.fed(index, input)?;
            points.push(point.ok_or_else(|| format!("nothing feeds its input {}", short(&input.name)))?);
        }
        Ok(points)
    }

    fn comparison(&mut self, relation: Relation, inputs: &[&Input]) -> Result<Comparison, String> {
        let [left, right] = inputs else { return Err("two inputs are expected".to_owned()) };
        let (Some(left), Some(right)) = (self.figure(left)?, self.figure(right)?) else {
            return Err("two values are expected".to_owned());
        };
        if left.1 != right.1 {
            return Err("two values of one sort are expected".to_owned());
        }
        match (left.0, right.0) {
            (Operand::Value(value), with) => Ok(Comparison { value, relation, with }),
            (with, Operand::Value(value)) => Ok(Comparison { value, relation: relation.mirrored(), with }),
            _ => Err("a time or count of a block is expected at one of its inputs".to_owned()),
        }
    }
}
