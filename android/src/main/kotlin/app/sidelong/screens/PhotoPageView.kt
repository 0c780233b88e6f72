package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** How near a photo is taken; the camera follows. */
class PhotoPageView(context: Context, ink: Ink, private val screen: PhotoScreen, lock: () -> Unit) : LinearLayout(context) {
    private val none = words(context, ink, Ink.BODY, context.getString(R.string.no_photo_came), ink.stop)
    private val keep = Key(context, ink, context.getString(R.string.photo_waits), weight = Weight.NEXT) { screen.keepIt() }

    init {
        orientation = VERTICAL
        val framings = Keys(context, ink, 2)
        screen.framings.forEach { (framing, text) -> framings.addView(Key(context, ink, text) { screen.take(framing) }) }
        val of = screen.of ?: context.getString(if (screen.ofMark) R.string.this_mark else R.string.the_whole_car)
        val body = low(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.photo_of, of)),
            words(context, ink, Ink.BODY, context.getString(R.string.photo_how)),
            none, keep, framings,
        )
        addView(body, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        shown(none, screen.none)
        shown(keep, screen.waiting != null)
    }
}
