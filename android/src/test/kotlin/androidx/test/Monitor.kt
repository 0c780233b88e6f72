package androidx.test.platform.app

import android.app.Instrumentation
import android.os.Bundle

// Robolectric links against AndroidX's test monitor, which no registry in reach has. These files are as much of it as is
// called: they keep what they are given.

object InstrumentationRegistry {
    private var kept: Instrumentation? = null

    @JvmStatic
    fun registerInstance(instrumentation: Instrumentation?, arguments: Bundle?) { kept = instrumentation }

    @JvmStatic
    fun getInstrumentation(): Instrumentation = kept!!
}
