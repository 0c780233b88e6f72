package org.robolectric.shadows

/** Robolectric draws no system bars unless told, and keeps the switch to its own package. */
object Bars {
    fun standard() = SystemUi.systemUiForDefaultDisplay().setBehavior(SystemUi.STANDARD_STATUS_BAR, SystemUi.GESTURAL_NAVIGATION)
}
