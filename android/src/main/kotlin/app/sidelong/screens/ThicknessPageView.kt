package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** Thickness readings on a screen: what was read stands above, a keypad for gloves below. */
class ThicknessPageView(context: Context, ink: Ink, private val screen: ThicknessScreen, lock: () -> Unit) : LinearLayout(context) {
    private val typing = words(context, ink, Ink.TITLE)
    private val readings = words(context, ink, Ink.BODY)
    private val soFar = words(context, ink, Ink.BODY)
    private val save = Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() }

    init {
        orientation = VERTICAL
        val pad = Keys(context, ink, 3)
        for (digit in "123456789") pad.addView(Key(context, ink, digit.toString()) { screen.digit(digit) })
        pad.addView(Key(context, ink, context.getString(R.string.rub_out)) { screen.rub() })
        pad.addView(Key(context, ink, "0") { screen.digit('0') })
        pad.addView(Key(context, ink, context.getString(R.string.next_reading)) { screen.next() })
        val none = Keys(context, ink, 2)
        screen.noReadings.forEach { (why, text) -> none.addView(Key(context, ink, text, gloves = false) { screen.none(why) }) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.thickness_on, screen.panelName)),
            readings, soFar, typing, pad, save,
            words(context, ink, Ink.BODY, context.getString(R.string.no_reading_saves)), none,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        typing.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    private fun show() {
        typing.text = context.getString(R.string.micrometres, screen.digits.ifEmpty { "–" })
        readings.text = screen.readings.joinToString("  ")
        soFar.text = screen.soFar
        shown(readings, screen.readings.isNotEmpty())
        shown(soFar, screen.readings.isNotEmpty())
    }
}
