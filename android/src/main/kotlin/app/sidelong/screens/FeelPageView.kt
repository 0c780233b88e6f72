package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** A feel test on a screen. */
class FeelPageView(context: Context, ink: Ink, private val screen: FeelScreen, lock: () -> Unit) : LinearLayout(context) {
    private val methods = screen.methods.associate { (method, text) -> method to Key(context, ink, text, weight = Weight.CHOICE) { screen.method(method) } }
    private val reactions = screen.reactions.associate { (reaction, text) -> reaction to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.reacted(reaction) } }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.method_missing), ink.stop)

    init {
        orientation = VERTICAL
        val levels = Keys(context, ink, 2)
        screen.levels.forEach { (level, text) -> levels.addView(Key(context, ink, text) { screen.level(level) }) }
        val body = low(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.feel_on, listOfNotNull(screen.panelName, screen.onText).joinToString(", "))),
            words(context, ink, Ink.SMALL, context.getString(R.string.feel_caution), ink.second),
            words(context, ink, Ink.BODY, context.getString(R.string.felt_with)),
            Keys(context, ink, 3).apply { methods.values.forEach(::addView) },
            missing,
            words(context, ink, Ink.BODY, context.getString(R.string.what_reacted)),
            Keys(context, ink, 2).apply { reactions.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.felt_saves)),
            levels,
        )
        addView(body, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        methods.forEach { (method, key) -> key.chosen = method == screen.method }
        reactions.forEach { (reaction, key) -> key.chosen = reaction in screen.reacted }
        shown(missing, screen.methodMissing)
    }
}
