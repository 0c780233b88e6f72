package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** Another phone's record: where it comes from, and what came of it. */
class JoinPageView(context: Context, ink: Ink, private val screen: JoinScreen, lock: () -> Unit) : LinearLayout(context) {
    private val came = words(context, ink, Ink.BODY)

    init {
        orientation = VERTICAL
        came.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        val body = low(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.join)),
            words(context, ink, Ink.BODY, context.getString(R.string.join_why)),
            came,
            Keys(context, ink, 2).apply {
                addView(Key(context, ink, context.getString(R.string.pick_file)) { screen.pickFile() })
                addView(Key(context, ink, context.getString(R.string.pick_folder)) { screen.pickFolder() })
                addView(Key(context, ink, context.getString(R.string.hand_over)) { screen.handOver() })
            },
        )
        addView(body, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val joined = screen.joined
        came.text = when {
            screen.busy -> context.getString(R.string.joining)
            joined == null -> ""
            joined.taken.isEmpty() && joined.refused.isEmpty() && joined.forked.isEmpty() -> context.getString(R.string.nothing_new)
            else -> (joined.taken.map { context.getString(R.string.taken_in, it.phone, it.before.toInt(), it.after.toInt()) } +
                joined.forked.map { it.text } + joined.refused.map { context.getString(R.string.problem_join, it.reason) }).joinToString("\n")
        }
        shown(came, came.text.isNotEmpty())
    }
}
