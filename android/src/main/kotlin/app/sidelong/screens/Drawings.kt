package app.sidelong.screens

import java.util.concurrent.ConcurrentHashMap
import sidelong.core.BodyForm
import sidelong.core.DrawingView
import sidelong.core.Language
import sidelong.core.MarkNow
import sidelong.core.PointDrawn
import sidelong.core.WholeSide
import sidelong.core.drawing
import sidelong.core.drawnAt
import sidelong.core.groundDrawing

/** A mark as it is drawn: its number and its stroke in units. */
class MarkDrawn(val label: String, val from: PointDrawn, val to: PointDrawn)

/** The core's drawings, each asked for once: they never change, and thousands of points come over with each. */
object Drawings {
    private val kept = ConcurrentHashMap<Triple<BodyForm, WholeSide?, Language>, DrawingView>()

    fun of(form: BodyForm, side: WholeSide?, language: Language): DrawingView =
        kept.getOrPut(Triple(form, side, language)) { drawing(form, side, language) }

    private val grounds = ConcurrentHashMap<Pair<BodyForm, Language>, DrawingView>()

    /** The ground round a vehicle. */
    fun ground(form: BodyForm, language: Language): DrawingView = grounds.getOrPut(form to language) { groundDrawing(form, language) }

    /** Those of the marks that a drawing shows, where it shows them. */
    fun marks(form: BodyForm, side: WholeSide?, marks: List<MarkNow>): List<MarkDrawn> = marks.mapNotNull { mark ->
        val from = drawnAt(form, side, mark.panel, mark.from) ?: return@mapNotNull null
        MarkDrawn(mark.label, from, mark.to?.let { drawnAt(form, side, mark.panel, it) } ?: from)
    }
}
