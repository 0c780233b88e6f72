package app.sidelong.screens

import android.content.Context
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.PlannedView

/** The plan on a screen: to read, step by step. */
class PlanPageView(context: Context, private val ink: Ink, private val screen: PlanScreen, lock: () -> Unit) : LinearLayout(context) {
    private val steps = column(context, ink)

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.plan) },
            steps,
            Key(context, ink, context.getString(R.string.agreed_work), gloves = false) { screen.work() },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val plan = screen.plan
        if (plan == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        steps.removeAllViews()
        if (plan.keptBack.isNotEmpty()) {
            steps.addView(words(context, ink, Ink.LEAD, context.getString(R.string.kept_back)))
            plan.keptBack.forEach { steps.addView(words(context, ink, Ink.BODY, it, ink.stop)) }
        }
        plan.notes.forEach { steps.addView(words(context, ink, Ink.BODY, it)) }
        if (plan.steps.isEmpty()) steps.addView(words(context, ink, Ink.BODY, context.getString(R.string.nothing_waits)))
        plan.steps.forEachIndexed { at, step -> steps.addView(planned(at + 1, step)) }
    }

    private fun planned(number: Int, step: PlannedView): LinearLayout {
        val block = column(context, ink, words(context, ink, Ink.LEAD, context.getString(R.string.numbered, number, step.text)))
        fun line(text: String, colour: Int = ink.ink) = block.addView(words(context, ink, Ink.BODY, text, colour))
        line(step.on)
        if (step.added) line(context.getString(R.string.added), ink.second)
        step.lines.forEach { line(it) }
        step.clothZone?.let { line(context.getString(R.string.cloth_zone, it)) }
        step.cautions.forEach { line(it, ink.stop) }
        return block
    }
}
