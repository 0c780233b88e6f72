//! Writes the Kotlin, Swift and Python sides of the binding from the built library; `bindings/ffi/generate` runs it.
fn main() {
    uniffi::uniffi_bindgen_main()
}
