package app.sidelong.screens

import android.content.Context
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** A few questions with short answers; one that is left out stays unknown. */
class ChoiceView(context: Context, private val ink: Ink, private val screen: ChoiceScreen, lock: () -> Unit) : LinearLayout(context) {
    private val keys = mutableMapOf<Pair<String, String>, Key>()
    private val body = column(context, ink)
    private var asked: List<String>? = null

    init {
        orientation = VERTICAL
        val head = Head(context, ink, { screen.desk.back() }, lock)
        addView(if (screen.gloves) low(context, ink, head, body) else scrolled(context, column(context, ink, head, body)), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val questions = screen.questions
        if (asked != questions.map { it.name }) {
            asked = questions.map { it.name }
            keys.clear()
            body.removeAllViews()
            questions.forEach(::ask)
        }
        for (question in questions) for ((answer, _) in question.answers) keys[question.name to answer]?.chosen = question.chosen == answer
    }

    private fun ask(question: Question) {
        val title = question.title ?: when (question.name) {
            HowScreen.DISTANCE -> context.getString(R.string.how_near)
            HowScreen.LIGHT -> context.getString(R.string.which_light)
            Ways.WAY -> context.getString(R.string.which_way)
            Ways.AMBIENT -> context.getString(R.string.which_ambient)
            Ways.SPENT -> context.getString(R.string.how_long)
            WhichStepScreen.STEP -> context.getString(R.string.which_step_done)
            HowScreen.SURFACE -> context.getString(R.string.which_surface)
            else -> context.getString(R.string.why_not_seen, (screen as? CouldNotSeeScreen)?.panelName ?: "")
        }
        body.addView(column(context, ink, words(context, ink, Ink.LEAD, title)))
        val row = Keys(context, ink, if (screen.gloves && question.answers.size > 4) 3 else 2)
        for ((answer, text) in question.answers) {
            val key = Key(context, ink, text, gloves = screen.gloves, weight = Weight.CHOICE) { screen.answer(question.name, answer) }
            keys[question.name to answer] = key
            row.addView(key)
        }
        body.addView(row)
    }
}
