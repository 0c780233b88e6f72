package app.sidelong.screens

import android.content.Context
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.SpotView

/** Missed spots on a screen: the open ones first, then where they are usually missed. */
class SpotsView(context: Context, private val ink: Ink, private val screen: SpotsScreen, lock: () -> Unit) : LinearLayout(context) {
    private val open = Keys(context, ink, 1)
    private val none = words(context, ink, Ink.BODY, context.getString(R.string.no_spots))
    private var shown: List<SpotView>? = null

    init {
        orientation = VERTICAL
        val often = Keys(context, ink, 1)
        screen.here?.let { panel -> often.addView(Key(context, ink, context.getString(R.string.found_here, screen.hereName ?: ""), gloves = false) { screen.find(panel) }) }
        screen.often.forEach { place -> often.addView(Key(context, ink, place.text, gloves = false) { screen.find(place.panel) }) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.missed_spots)), none, open,
            words(context, ink, Ink.LEAD, context.getString(R.string.often_missed)), often,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        if (shown == screen.spots) return
        shown = screen.spots
        open.removeAllViews()
        screen.spots.sortedByDescending { it.open }.forEach { spot ->
            open.addView(Key(context, ink, context.getString(R.string.spot_line, spot.panelName, spot.text, spot.state), gloves = false) { screen.open(spot) })
        }
        shown(none, screen.spots.isEmpty())
        shown(open, screen.spots.isNotEmpty())
    }
}

/** A spot that was found, on a screen. */
class FindSpotView(context: Context, private val ink: Ink, private val screen: FindSpotScreen, lock: () -> Unit) : LinearLayout(context) {
    private val title = words(context, ink, Ink.LEAD)
    private val car = CarView(context, ink)
    private val lights = screen.lights.associate { (light, text) -> light to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.light(light) } }
    private val steps = screen.steps.associate { (step, text) -> step to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.step(step) } }
    private val ages = screen.ages.associateWith { age -> Key(context, ink, age.text, gloves = false, weight = Weight.CHOICE) { screen.age(age) } }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.spot_missing), ink.stop)

    init {
        orientation = VERTICAL
        car.stroke = { x, y, _, _ -> screen.touched(x, y, car.reach) }
        car.chosen = screen::chosen
        val kinds = Keys(context, ink, 2)
        screen.kinds.forEach { (kind, text) -> kinds.addView(Key(context, ink, text) { screen.isKind(kind) }) }
        val body = column(context, ink, Head(context, ink, { screen.desk.back() }, lock), title)
        body.addView(car, LayoutParams(LayoutParams.MATCH_PARENT, ink.dp(260)).apply { topMargin = ink.dp(8) })
        body.addView(column(
            context, ink,
            words(context, ink, Ink.BODY, context.getString(R.string.which_light)), Keys(context, ink, 3).apply { lights.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.which_step)), Keys(context, ink, 2).apply { steps.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.how_long_ago)), Keys(context, ink, 4).apply { ages.values.forEach(::addView) },
            words(context, ink, Ink.LEAD, context.getString(R.string.spot_saves)), missing, kinds,
        ))
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        title.text = context.getString(R.string.spot_where, screen.panelName)
        val at = screen.drawn
        car.show(screen.drawing, screen.panel, screen.drawing.places.map { PlaceShown(it.panel, it.name, "", Sign.NONE) },
            listOfNotNull(at?.let { MarkShown(context.getString(R.string.here), it.x, it.y, it.x, it.y) }))
        car.contentDescription = context.getString(R.string.drawing_of, screen.panelName)
        lights.forEach { (light, key) -> key.chosen = light == screen.light }
        steps.forEach { (step, key) -> key.chosen = step == screen.step }
        ages.forEach { (age, key) -> key.chosen = age == screen.age }
        shown(missing, screen.missing)
    }
}

/** One missed spot on a screen: how it stands, what its age allows, and what was seen since. */
class SpotPageView(context: Context, private val ink: Ink, private val screen: SpotScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val text = words(context, ink, Ink.LEAD)
    private val state = words(context, ink, Ink.BODY)
    private val history = words(context, ink, Ink.BODY, colour = ink.second)
    private val allowsTitle = words(context, ink, Ink.BODY, context.getString(R.string.allowed))
    private val allows = Keys(context, ink, 1)
    private val lights = screen.lights.associate { (light, text) -> light to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.light(light) } }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.say_light), ink.stop)
    private var shown: SpotView? = null

    init {
        orientation = VERTICAL
        val body = column(
            context, ink, head, text, state, history, allowsTitle, allows,
            field(context, ink, context.getString(R.string.what_was_done), screen.what) { screen.write(it) },
            Key(context, ink, context.getString(R.string.treated), gloves = false) { screen.treated(screen.what) },
            words(context, ink, Ink.LEAD, context.getString(R.string.look_again)),
            Keys(context, ink, 3).apply { lights.values.forEach(::addView) }, missing,
            Keys(context, ink, 2).apply {
                addView(Key(context, ink, context.getString(R.string.spot_clear)) { screen.seen(true) })
                addView(Key(context, ink, context.getString(R.string.spot_there)) { screen.seen(false) })
            },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        state.accessibilityLiveRegion = ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    private fun show() {
        val spot = screen.spot
        if (spot == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        head.text = spot.panelName
        text.text = spot.text
        state.text = spot.state
        history.text = spot.history.joinToString("\n")
        shown(history, spot.history.isNotEmpty())
        if (shown != spot) {
            shown = spot
            allows.removeAllViews()
            spot.allows.forEach { what -> allows.addView(Key(context, ink, what, gloves = false) { screen.treated(what) }) }
        }
        shown(allowsTitle, spot.allows.isNotEmpty())
        shown(allows, spot.allows.isNotEmpty())
        lights.forEach { (light, key) -> key.chosen = light == screen.light }
        shown(missing, screen.missing)
    }
}
