package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import app.sidelong.screens.ConditionsScreen.Value

/** Conditions on a screen: three numbers and a keypad for gloves; then what follows from them, in their place. */
class ConditionsPageView(context: Context, private val ink: Ink, private val screen: ConditionsScreen, lock: () -> Unit) : LinearLayout(context) {
    private val values = Value.entries.associateWith { Key(context, ink, "", weight = Weight.CHOICE) { screen.at(it) } }
    private val sun = Key(context, ink, context.getString(R.string.sun_on_panel), weight = Weight.CHOICE) { screen.sun() }
    private val wrong = words(context, ink, Ink.BODY, context.getString(R.string.number_wrong), ink.stop)
    private val typing: LinearLayout
    private val said = words(context, ink, Ink.LEAD)
    private val notes = words(context, ink, Ink.BODY)
    private val continued = words(context, ink, Ink.BODY)
    private val reason = field(context, ink, context.getString(R.string.why_go_on), screen.reason) { screen.write(it) }
    private val goOn = Key(context, ink, context.getString(R.string.go_on_anyway)) { screen.goOn() }
    private val done = Key(context, ink, context.getString(R.string.back_to_work), weight = Weight.NEXT) { screen.desk.back() }
    private val told: LinearLayout

    init {
        orientation = VERTICAL
        val head = Head(context, ink, { screen.desk.back() }, lock)
        head.text = listOfNotNull(context.getString(R.string.conditions), screen.panelName).joinToString(" · ")
        val pad = Keys(context, ink, 3)
        for (digit in "123456789") pad.addView(Key(context, ink, digit.toString()) { screen.digit(digit) })
        pad.addView(Key(context, ink, "−") { screen.minus() }.apply { contentDescription = context.getString(R.string.below_nought) })
        pad.addView(Key(context, ink, "0") { screen.digit('0') })
        pad.addView(Key(context, ink, ".") { screen.point() }.apply { contentDescription = context.getString(R.string.decimal_point) })
        typing = column(
            context, ink,
            Keys(context, ink, 3).apply { values.values.forEach(::addView) }, wrong, pad,
            Keys(context, ink, 2).apply { addView(Key(context, ink, context.getString(R.string.rub_out)) { screen.rub() }); addView(sun) },
            Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() },
        )
        told = column(context, ink, said, notes, continued, reason, goOn, done, Key(context, ink, context.getString(R.string.measure_again)) { screen.again() })
        addView(low(context, ink, head, typing, told), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        said.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    private fun show() {
        val texts = mapOf(Value.AIR to R.string.air_is, Value.PANEL to R.string.panel_is, Value.HUMIDITY to R.string.humidity_is)
        for ((value, key) in values) {
            key.text = context.getString(texts.getValue(value), screen.value(value).ifEmpty { "–" })
            key.chosen = value == screen.at
        }
        sun.chosen = screen.sun
        shown(wrong, screen.wrong != null)
        val made = screen.made
        shown(typing, made == null)
        shown(told, made != null)
        if (made == null) return
        said.text = listOf(made.place, made.text).joinToString(": ")
        val within = context.getString(if (screen.weighed) R.string.nothing_outside else R.string.weighed_against_none)
        notes.text = made.notes.joinToString("\n").ifEmpty { within }
        notes.setTextColor(if (made.notes.isEmpty()) ink.ink else ink.stop)
        continued.text = made.continued.joinToString("\n")
        shown(continued, made.continued.isNotEmpty())
        shown(reason, made.notes.isNotEmpty())
        shown(goOn, made.notes.isNotEmpty())
        shown(done, made.notes.isEmpty())
    }
}
