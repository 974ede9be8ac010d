//! Writes what the benchmarks are measured against, where they are built (`--features bench`).

#[cfg(feature = "bench")]
#[path = "build/straight.rs"]
mod straight;

fn main() {
    println!("cargo::rerun-if-changed=build");
    #[cfg(feature = "bench")]
    straight::write();
}
