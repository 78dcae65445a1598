//! Watches the built screens: a release build carries them inside, and cargo would not see that
//! there are others now. A debug build reads them where they lie.

fn main() {
    let release = std::env::var("PROFILE").is_ok_and(|profile| profile == "release");
    println!("cargo::rerun-if-changed={}", if release { "../../ui/dist" } else { "build.rs" });
}
