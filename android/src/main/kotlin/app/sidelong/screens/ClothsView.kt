package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.ClothOut
import sidelong.core.ClothView

/**
 * Cloths on a screen: those in use, what a new one is, and what speaks against it, above the key that takes it; below, what is done
 * when one fell.
 */
class ClothsView(context: Context, private val ink: Ink, private val screen: ClothsScreen, lock: () -> Unit) : LinearLayout(context) {
    private val title = words(context, ink, Ink.LEAD)
    private val usedTitle = words(context, ink, Ink.BODY, context.getString(R.string.cloths_used))
    private val used = Keys(context, ink, 1)
    private val tools = screen.tools.associate { (tool, text) -> tool to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.tool(tool) } }
    private val zonesTitle = words(context, ink, Ink.BODY, context.getString(R.string.which_zone))
    private val zones = Keys(context, ink, 3)
    private val name = words(context, ink, Ink.BODY, colour = ink.second)
    private val named = field(context, ink, context.getString(R.string.cloth_name), screen.typed("name") ?: "") { screen.write(it); called() }
    private val warnings = words(context, ink, Ink.LEAD, colour = ink.stop)
    private val take = Key(context, ink, context.getString(R.string.take_it), weight = Weight.NEXT) { screen.take() }

    // What is warned of is not the touch that most people want.
    private val anyway = Key(context, ink, context.getString(R.string.take_anyway)) { screen.take() }

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.cloths) },
            title,
            Keys(context, ink, 2).apply {
                addView(Key(context, ink, context.getString(R.string.another_step), gloves = false) { screen.whichStep() })
                addView(Key(context, ink, context.getString(R.string.another_place), gloves = false) { screen.whichPlace() })
            },
            usedTitle, used,
            words(context, ink, Ink.BODY, context.getString(R.string.new_cloth)), Keys(context, ink, 3).apply { tools.values.forEach(::addView) },
            zonesTitle, zones, warnings, take, anyway, named, name,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        val out = Keys(context, ink, 2)
        out.addView(Key(context, ink, context.getString(R.string.it_fell)) { screen.out(ClothOut.DROPPED) })
        out.addView(Key(context, ink, context.getString(R.string.grit_in_it)) { screen.out(ClothOut.GRIT) })
        addView(column(context, ink, out))
        warnings.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_ASSERTIVE
        screen.changed = ::show
        show()
    }

    private fun called() { name.text = context.getString(R.string.cloth_is_called, screen.name) }

    private fun show() {
        title.text = context.getString(R.string.cloth_for, screen.stepText, screen.panelName)
        used.removeAllViews()
        screen.cloths.forEach { cloth -> used.addView(Key(context, ink, text(cloth), gloves = false, weight = Weight.CHOICE) { screen.choose(cloth) }.apply { chosen = cloth.id == screen.chosen?.id }) }
        shown(usedTitle, screen.cloths.isNotEmpty())
        shown(used, screen.cloths.isNotEmpty())
        val fresh = screen.chosen == null
        tools.forEach { (tool, key) -> key.chosen = fresh && tool == screen.tool }
        zones.removeAllViews()
        screen.zones.forEach { (zone, text) -> zones.addView(Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.zone(zone) }.apply { chosen = fresh && zone == screen.zone }) }
        shown(zonesTitle, screen.zones.isNotEmpty())
        shown(zones, screen.zones.isNotEmpty())
        called()
        warnings.text = screen.warnings.joinToString("\n")
        shown(warnings, screen.warnings.isNotEmpty())
        shown(take, screen.ready && screen.warnings.isEmpty())
        shown(anyway, screen.ready && screen.warnings.isNotEmpty())
    }

    private fun text(cloth: ClothView) =
        listOfNotNull(cloth.name, cloth.zone, screen.lastName(cloth), screen.outText(cloth)?.let { context.getString(R.string.out_of_use, it) }).joinToString(" · ")
}
