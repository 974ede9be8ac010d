//! Solving again in the same memory: to the same bits as in fresh memory, and without allocating, counted by an
//! allocator that counts.

// An allocator cannot be written without; this one hands everything on to the system's.
#![allow(unsafe_code)]

use sealin_core::network::{Key, Workspace};
use sealin_tests::netlists::{generated, sixty_nodes};
use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

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
fn solving_again_allocates_nothing() {
    let networks = (0..8).map(|seed| generated(seed).network).chain([sixty_nodes()]);
    for network in networks {
        let mut workspace = Workspace::default();
        network.solve_in(&Key::default(), &mut workspace);
        let before = workspace.islands_solved();
        let count = allocations(|| {
            for bits in 0..200u64 {
                network
                    .solve_in(&Key([bits.wrapping_mul(0x9e37_79b9_7f4a_7c15), bits, 0, 0]), &mut workspace);
            }
        });
        assert_eq!(count, 0);
        assert!(workspace.islands_solved() > before + 50);
    }
}

/// Whatever was solved before in a workspace, and whichever islands were kept, each key has its own solution.
#[test]
fn a_solution_depends_on_its_key_only() {
    let mut kept = 0;
    for seed in 0..40 {
        let case = generated(seed);
        let mut workspace = Workspace::default();
        let mut key = case.key;
        let mut alone = 0;
        for step in 0..30 {
            // Now and then the supplies' bits too: all bits of a case lie in its first words.
            let bit = (step * 37 + seed as usize) % 100;
            key.set(bit, !key.get(bit));
            case.network.solve_in(&key, &mut workspace);
            let mut fresh = Workspace::default();
            case.network.solve_in(&key, &mut fresh);
            alone += fresh.islands_solved();
            let (a, b) = (workspace.solution(), fresh.solution());
            assert_eq!(a.dc, b.dc, "seed {seed}, step {step}");
            assert_eq!(a.ac, b.ac, "seed {seed}, step {step}");
            assert_eq!(a.response, b.response, "seed {seed}, step {step}");
        }
        kept += alone - workspace.islands_solved();
    }
    assert!(kept > 1000, "islands kept: {kept}");
}

#[test]
fn the_count_counts() {
    assert_eq!(allocations(|| drop(std::hint::black_box(Box::new(5)))), 1);
}
