package app.sidelong.widgets

import android.content.Context
import android.view.Gravity
import android.widget.LinearLayout
import android.widget.TextView
import app.sidelong.R

/** A number that goes up and down by two keys for gloves, with what it says between them. */
class Stepper(context: Context, ink: Ink, name: CharSequence, step: (Int) -> Unit) : LinearLayout(context) {
    private val said: TextView = words(context, ink, Ink.BODY).apply { gravity = Gravity.CENTER; textAlignment = TEXT_ALIGNMENT_CENTER }

    init {
        orientation = HORIZONTAL
        gravity = Gravity.CENTER_VERTICAL
        addView(key(ink, "−", context.getString(R.string.less_of, name)) { step(-1) })
        addView(said, LayoutParams(0, LayoutParams.WRAP_CONTENT, 1f))
        addView(key(ink, "+", context.getString(R.string.more_of, name)) { step(1) })
    }

    private fun key(ink: Ink, sign: String, spoken: String, touched: () -> Unit) =
        Key(context, ink, sign, touched = touched).apply { contentDescription = spoken; textSize = Ink.TITLE }

    var text: CharSequence
        get() = said.text
        set(value) { said.text = value }
}
