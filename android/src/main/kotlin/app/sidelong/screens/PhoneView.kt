package app.sidelong.screens

import android.content.Context
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** What is set on this phone. */
class PhoneView(context: Context, ink: Ink, private val screen: PhoneScreen, lock: () -> Unit) : LinearLayout(context) {
    private val corners = screen.corners.associate { (corner, text) -> corner to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.corner(corner) } }
    private val contrast = Key(context, ink, context.getString(R.string.high_contrast), gloves = false, weight = Weight.CHOICE) { screen.contrast(!screen.contrast) }
    private val recorder = words(context, ink, Ink.BODY)

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.this_phone) },
            words(context, ink, Ink.BODY, context.getString(R.string.walk_begins)),
            Keys(context, ink, 2).apply { corners.values.forEach(::addView) },
            contrast,
            recorder,
            field(context, ink, context.getString(R.string.who_records), screen.typed("name") ?: "") { screen.write(it) },
            Key(context, ink, context.getString(R.string.records_from_here), gloves = false) { screen.recorder(screen.typed("name") ?: "") },
            Key(context, ink, context.getString(R.string.shop), gloves = false) { screen.shop() },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        corners.forEach { (corner, key) -> key.chosen = corner == screen.corner }
        contrast.chosen = screen.contrast
        recorder.text = screen.recorder?.let { context.getString(R.string.now_records, it) } ?: context.getString(R.string.nobody_records)
    }
}
