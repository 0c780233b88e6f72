package app.sidelong

import org.junit.runners.model.FrameworkMethod
import org.robolectric.RobolectricTestRunner
import org.robolectric.internal.bytecode.InstrumentationConfiguration

/**
 * Robolectric gives each SDK a class loader of its own, but the Rust library is in the process once and keeps one table
 * of callbacks per foreign trait. So the binding, and the Kotlin classes in its signatures, are shared.
 */
class ShellRunner(test: Class<*>) : RobolectricTestRunner(test) {
    override fun createClassLoaderConfig(method: FrameworkMethod): InstrumentationConfiguration =
        InstrumentationConfiguration.Builder(super.createClassLoaderConfig(method))
            .doNotAcquirePackage("sidelong.core.")
            .doNotAcquirePackage("kotlin.")
            .build()
}
