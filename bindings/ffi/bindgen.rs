//! Writes the Kotlin, Swift and Python sides of the binding from the built library; `tests/bindings.sh` runs it.
fn main() {
    uniffi::uniffi_bindgen_main()
}
