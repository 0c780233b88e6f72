package app.sidelong.screens

import android.content.Context
import android.text.InputType
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.NextNow

/** What could have been seen on a screen: the whole vehicle hatched, a line a panel; then the next looks, on the ground and in words. */
class SeenView(context: Context, private val ink: Ink, private val screen: SeenScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val car = CarView(context, ink).apply { whole = true }
    private val panels = words(context, ink, Ink.BODY)
    private val ground = CarView(context, ink).apply { whole = true; contentDescription = context.getString(R.string.ground) }
    private val nexts = words(context, ink, Ink.BODY)
    private val looks = words(context, ink, Ink.BODY)
    private val lights = screen.lights.associate { (light, text) -> light to Key(context, ink, text, weight = Weight.CHOICE) { screen.light(light) } }
    private val blocked = screen.sides.associate { (side, text) -> side to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.blocked(side) } }
    private var shown: NextNow? = null

    init {
        orientation = VERTICAL
        val body = column(context, ink, head, words(context, ink, Ink.LEAD, context.getString(R.string.next_look)), nexts)
        body.addView(ground, LayoutParams(LayoutParams.MATCH_PARENT, ink.dp(260)).apply { topMargin = ink.dp(8) })
        body.addView(column(context, ink,
            Keys(context, ink, 2).apply { lights.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.blocked_sides)),
            Keys(context, ink, 2).apply { blocked.values.forEach(::addView) },
            Key(context, ink, context.getString(R.string.sun_today), gloves = false) { screen.sun() },
            words(context, ink, Ink.LEAD, context.getString(R.string.seen_so_far)),
            words(context, ink, Ink.SMALL, context.getString(R.string.hatching_means), ink.second)))
        body.addView(car, LayoutParams(LayoutParams.MATCH_PARENT, ink.dp(260)).apply { topMargin = ink.dp(8) })
        body.addView(column(context, ink, panels, looks))
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val now = screen.now
        if (now == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        head.text = now.stageText
        val lines = now.seen.associateBy { it.panel }
        car.hatching = now.hatching
        car.contentDescription = context.getString(R.string.seen_so_far)
        car.show(screen.drawing, null, screen.drawing.places.map { PlaceShown(it.panel, it.name, lines[it.panel]?.text ?: "", if (it.panel in lines) Sign.NONE else Sign.NOT_LOOKED) }, emptyList())
        panels.text = now.seen.joinToString("\n") { context.getString(R.string.line_of, it.panelName, it.text) }.ifEmpty { context.getString(R.string.no_look_yet) }
        looks.text = now.looks.joinToString("\n") { context.getString(R.string.line_of, it.stamp.time, it.text) }
        shown(looks, now.looks.isNotEmpty())
        lights.forEach { (light, key) -> key.chosen = light == screen.light }
        blocked.forEach { (side, key) -> key.chosen = side in screen.ways.blocked }
        val next = screen.next ?: return
        if (shown === next) return
        shown = next
        nexts.text = next.none ?: next.places.mapIndexed { at, place -> context.getString(R.string.numbered, at + 1, place.text) }.joinToString("\n")
        ground.show(screen.ground, null, emptyList(), next.places.mapIndexed { at, place -> MarkShown("${at + 1}", place.at.x, place.at.y, place.at.x, place.at.y) })
        shown(ground, next.places.isNotEmpty())
    }
}

/** The sun on a screen: where on earth, then what it can do. */
class SunView(context: Context, ink: Ink, private val screen: SunScreen, lock: () -> Unit) : LinearLayout(context) {
    private val place = words(context, ink, Ink.BODY)
    private val wrong = words(context, ink, Ink.BODY, context.getString(R.string.place_wrong), ink.stop)
    private val none = words(context, ink, Ink.BODY, context.getString(R.string.place_not_found), ink.stop)
    private val lines = words(context, ink, Ink.BODY)
    private val shades = screen.sides.associate { (side, text) -> side to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.shade(side) } }

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.sun_today)),
            lines,
            words(context, ink, Ink.BODY, context.getString(R.string.stays_in_shade)),
            Keys(context, ink, 2).apply { shades.values.forEach(::addView) },
            words(context, ink, Ink.LEAD, context.getString(R.string.where_on_earth)),
            place,
            words(context, ink, Ink.SMALL, context.getString(R.string.place_why), ink.second),
            Key(context, ink, context.getString(R.string.place_from_phone)) { screen.fromPhone() },
            none,
            field(context, ink, context.getString(R.string.place_typed), screen.text, InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS, screen::write),
            wrong,
            Key(context, ink, context.getString(R.string.place_set), gloves = false) { screen.typedPlace() },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        place.text = screen.place ?: context.getString(R.string.place_unsaid)
        lines.text = screen.lines.joinToString("\n")
        shown(wrong, screen.wrong)
        shown(none, screen.noneFound)
        shades.forEach { (side, key) -> key.chosen = side == screen.shade }
    }
}
