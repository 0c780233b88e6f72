package androidx.test.runner.lifecycle

import android.app.Activity

enum class Stage { PRE_ON_CREATE, CREATED, STARTED, RESUMED, PAUSED, STOPPED, RESTARTED, DESTROYED }

enum class ApplicationStage { PRE_ON_CREATE, CREATED }

interface ActivityLifecycleMonitor {
    fun getLifecycleStageOf(activity: Activity): Stage?
}

interface ApplicationLifecycleMonitor

object ActivityLifecycleMonitorRegistry {
    private var kept: ActivityLifecycleMonitor? = null

    @JvmStatic
    fun getInstance(): ActivityLifecycleMonitor = kept!!

    @JvmStatic
    fun registerInstance(monitor: ActivityLifecycleMonitor) { kept = monitor }
}

object ApplicationLifecycleMonitorRegistry {
    @JvmStatic
    fun registerInstance(monitor: ApplicationLifecycleMonitor) = Unit
}
