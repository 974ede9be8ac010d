//! The scan allocates nothing: counted by an allocator that counts.

// An allocator cannot be written without; this one hands everything on to the system's.
#![allow(unsafe_code)]

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;
use std::collections::BTreeSet;

use sealin_ladder::generate::{Numbers, Shape, input_sequence, program, thousand_rungs};
use sealin_ladder::{Block, Program, VarKind, compile};

thread_local! {
    static ALLOCATIONS: Cell<u64> = const { Cell::new(0) };
}

struct Counting;

// SAFETY: every call goes to the system's allocator unchanged; the counter is a plain number of the same thread.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        ALLOCATIONS.set(ALLOCATIONS.get() + 1);
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

fn allocations(work: impl FnOnce()) -> u64 {
    let before = ALLOCATIONS.get();
    work();
    ALLOCATIONS.get() - before
}

#[test]
fn a_scan_allocates_nothing() {
    for program in programs() {
        let compiled = compile(&program, 5);
        let mut memory = compiled.cold_start();
        let inputs = input_sequence(3, 16, 100);
        let mut image = 0;
        let count = allocations(|| {
            for input in &inputs {
                image ^= compiled.scan(&mut memory, *input);
            }
        });
        assert_eq!(count, 0, "image {image}");
    }
}

#[test]
fn a_scan_of_64_lanes_allocates_nothing() {
    for program in programs() {
        let compiled = compile(&program, 5);
        let mut lanes = compiled.lanes(&compiled.cold_start());
        let inputs: Vec<[u64; 64]> = (0..100)
            .map(|scan| std::array::from_fn(|bit| Numbers::new(scan * 64 + bit as u64).bits()))
            .collect();
        let mut image = 0;
        let count = allocations(|| {
            for input in &inputs {
                image ^= compiled.scan_lanes(&mut lanes, input)[0];
            }
        });
        assert_eq!(count, 0, "image {image}");
    }
}

/// The thousand rungs, and small programs that together have every block, comparisons and edges.
fn programs() -> Vec<Program> {
    let mut programs: Vec<Program> = (0..40).map(|seed| program(seed, &Shape::SMALL)).collect();
    let blocks = programs.iter().flat_map(|program| &program.vars).filter_map(|var| match var.kind {
        VarKind::Block(block) => Some(block),
        VarKind::Bool => None,
    });
    assert_eq!(blocks.collect::<BTreeSet<_>>().len(), Block::ALL.len());
    programs.push(thousand_rungs(3));
    programs
}

#[test]
fn the_count_counts() {
    assert_eq!(allocations(|| drop(std::hint::black_box(Box::new(5)))), 1);
}
