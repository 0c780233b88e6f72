package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** One job on a screen: the whole car folded flat as an overview, then what can be done. */
class JobPageView(context: Context, private val ink: Ink, private val screen: JobScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val title = words(context, ink, Ink.LEAD)
    private val state = words(context, ink, Ink.BODY)
    private val car = CarView(context, ink).apply { whole = true }
    private val marks = words(context, ink, Ink.BODY)
    private val goOn = Key(context, ink, context.getString(R.string.go_on_walk), weight = Weight.NEXT) { screen.goOn() }
    private val place = words(context, ink, Ink.LEAD)
    private val atPlace = Keys(context, ink, 3)
    private val stages = Keys(context, ink, 2)
    private val end = Key(context, ink, context.getString(R.string.end_visit)) { screen.end() }

    init {
        orientation = VERTICAL
        listOf(
            Key(context, ink, context.getString(R.string.feel_test)) { screen.feel() },
            Key(context, ink, context.getString(R.string.thickness)) { screen.thickness() },
            Key(context, ink, context.getString(R.string.photo)) { screen.photoOfPlace() },
            Key(context, ink, context.getString(R.string.not_looked)) { screen.notLooked() },
        ).forEach(atPlace::addView)
        screen.stages.forEach { (stage, text) -> stages.addView(Key(context, ink, text, gloves = false) { screen.begin(stage) }) }
        val visit = Keys(context, ink, 3)
        listOf(
            Key(context, ink, context.getString(R.string.surfaces)) { screen.surfaces() },
            Key(context, ink, context.getString(R.string.owners_answer)) { screen.owner() },
            Key(context, ink, context.getString(R.string.report)) { screen.report() },
            Key(context, ink, context.getString(R.string.photo_of_car)) { screen.photoOfCar() },
            end,
        ).forEach(visit::addView)
        val body = column(context, ink, head, title, state)
        body.addView(car, LayoutParams(LayoutParams.MATCH_PARENT, ink.dp(240)).apply { topMargin = ink.dp(8) })
        body.addView(column(context, ink, marks, goOn, place, atPlace, workKeys(context, ink, screen.desk, screen.job), words(context, ink, Ink.LEAD, context.getString(R.string.the_visit)), visit,
            words(context, ink, Ink.LEAD, context.getString(R.string.begin_walk)), stages))
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val view = screen.view
        if (view == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        val vehicle = view.vehicle
        title.text = listOfNotNull(vehicle.plate ?: vehicle.stock ?: vehicle.vin, vehicle.formText, vehicle.colour).joinToString(" · ")
        state.text = listOfNotNull(screen.now?.let { "${it.stageText}: ${it.progress}" }, view.ownerText, view.closings.lastOrNull()?.let { context.getString(R.string.ended_at, it.at) }).joinToString("\n")
        val now = screen.now
        val drawing = screen.drawing
        if (now != null && drawing != null) {
            car.show(drawing, null, now, screen.marks)
        }
        shown(car, drawing != null)
        marks.text = view.marks.joinToString("\n") { mark -> context.getString(R.string.mark_line, mark.label, mark.panelName, listOfNotNull(mark.kindText, mark.size).joinToString(", "), mark.found) }
        shown(marks, view.marks.isNotEmpty())
        shown(goOn, now != null)
        place.text = screen.panelName ?: ""
        shown(place, screen.panel != null)
        shown(atPlace, screen.panel != null)
        shown(end, now != null)
    }
}
