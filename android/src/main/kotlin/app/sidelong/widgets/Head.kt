package app.sidelong.widgets

import android.content.Context
import android.view.Gravity
import android.view.View
import android.widget.LinearLayout
import android.widget.TextView
import app.sidelong.R

/** The top of a screen: the way back, what the screen is about, and the wet lock. Reading matter stands above. */
class Head(context: Context, ink: Ink, back: (() -> Unit)?, lock: () -> Unit) : LinearLayout(context) {
    private val title: TextView = words(context, ink, Ink.BODY)

    init {
        gravity = Gravity.CENTER_VERTICAL
        if (back != null) addView(Key(context, ink, context.getString(R.string.back), gloves = false, touched = back))
        addView(title.apply { setPadding(ink.dp(8), 0, ink.dp(8), 0) }, LayoutParams(0, LayoutParams.WRAP_CONTENT, 1f))
        addView(Key(context, ink, context.getString(R.string.lock), gloves = false, touched = lock))
        isBaselineAligned = false
    }

    var text: CharSequence
        get() = title.text
        set(value) { title.text = value; title.visibility = if (value.isEmpty()) View.INVISIBLE else View.VISIBLE }
}
