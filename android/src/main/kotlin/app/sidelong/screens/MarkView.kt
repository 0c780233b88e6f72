package app.sidelong.screens

import android.content.Context
import android.text.InputType
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.Catch

/** What a mark is: catch and size above, which may be left out, then its kind, which saves. */
class MarkView(context: Context, private val ink: Ink, private val screen: MarkScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val title = words(context, ink, Ink.LEAD, context.getString(R.string.what_is_it, screen.panelName))
    private val catches = Keys(context, ink, 3)
    private val catchKeys = mutableMapOf<Catch, Key>()
    private val kinds = Keys(context, ink, 3)
    private val wrong = words(context, ink, Ink.BODY, context.getString(R.string.size_wrong), ink.stop)

    init {
        orientation = VERTICAL
        screen.catches.forEach { (catch, text) ->
            val key = Key(context, ink, context.getString(R.string.catch_is, text), gloves = false, weight = Weight.CHOICE) { screen.catches(catch) }
            catchKeys[catch] = key
            catches.addView(key)
        }
        screen.kinds.forEach { (kind, text) -> kinds.addView(Key(context, ink, text) { screen.isKind(kind) }) }
        val size = field(context, ink, context.getString(R.string.size_mm), screen.size, InputType.TYPE_CLASS_NUMBER or InputType.TYPE_NUMBER_FLAG_DECIMAL, screen::sized)
        val body = column(context, ink, head, title, catches, size, wrong, words(context, ink, Ink.BODY, context.getString(R.string.kind_saves), ink.second), kinds)
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        catchKeys.forEach { (catch, key) -> key.chosen = screen.catch == catch }
        shown(wrong, !screen.sizeReads)
    }
}
