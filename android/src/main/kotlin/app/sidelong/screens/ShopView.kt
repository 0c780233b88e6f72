package app.sidelong.screens

import android.content.Context
import android.text.InputType
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** How the shop works, on a screen; nothing of it is done on the walk. */
class ShopView(context: Context, private val ink: Ink, private val screen: ShopScreen, lock: () -> Unit) : LinearLayout(context) {
    private val body = column(context, ink, Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.shop) })
    private val firsts = screen.firsts.associate { (step, text) -> step to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.first(step) } }
    private val wrong = words(context, ink, Ink.BODY, context.getString(R.string.micrometres_wrong), ink.stop)
    private val saved = words(context, ink, Ink.BODY, context.getString(R.string.shop_saved))
    private var filled = false

    init {
        orientation = VERTICAL
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(column(context, ink, wrong, saved, Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() }))
        screen.changed = ::show
        show()
    }

    private fun fill() {
        filled = true
        val number = InputType.TYPE_CLASS_NUMBER
        // A long name wraps instead of running out of its field.
        val wraps = InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_MULTI_LINE
        val parts = listOf(
            field(context, ink, context.getString(R.string.floor), screen.floor, number) { screen.write(ShopScreen.FLOOR, it) },
            field(context, ink, context.getString(R.string.budget), screen.budget, number) { screen.write(ShopScreen.BUDGET, it) },
            words(context, ink, Ink.BODY, context.getString(R.string.comes_first)), Keys(context, ink, 2).apply { firsts.values.forEach(::addView) },
            words(context, ink, Ink.LEAD, context.getString(R.string.own_zones)),
            words(context, ink, Ink.BODY, context.getString(R.string.own_zones_how), ink.second),
        ) + screen.uses.map { (use, text) -> field(context, ink, text, screen.zone(use), wraps) { screen.write(ShopScreen.ZONE + use.name, it) } }
        body.addView(column(context, ink, *parts.toTypedArray()))
    }

    private fun show() {
        visibility = if (screen.known) VISIBLE else INVISIBLE
        if (screen.known && !filled) fill()
        firsts.forEach { (step, key) -> key.chosen = step == screen.first }
        shown(wrong, screen.wrong)
        shown(saved, screen.saved)
    }
}
