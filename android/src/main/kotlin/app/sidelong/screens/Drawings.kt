package app.sidelong.screens

import java.util.concurrent.ConcurrentHashMap
import sidelong.core.BodyForm
import sidelong.core.DrawingView
import sidelong.core.Language
import sidelong.core.WholeSide
import sidelong.core.drawing

/** The core's drawings, each asked for once: they never change, and thousands of points come over with each. */
object Drawings {
    private val kept = ConcurrentHashMap<Triple<BodyForm, WholeSide?, Language>, DrawingView>()

    fun of(form: BodyForm, side: WholeSide?, language: Language): DrawingView =
        kept.getOrPut(Triple(form, side, language)) { drawing(form, side, language) }
}
