package app.sidelong.screens

import android.content.Context
import android.content.res.Configuration
import android.os.Handler
import android.os.Looper
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.Light
import sidelong.core.slipMs

/** A look on a screen: the question and what the last look was worth above, the ground or the panel in the middle, keys below. */
class LookPageView(context: Context, private val ink: Ink, private val screen: LookScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val title = words(context, ink, Ink.LEAD)
    private val about = words(context, ink, Ink.BODY, colour = ink.second)
    private val told = words(context, ink, Ink.BODY)
    private val wrong = words(context, ink, Ink.BODY, context.getString(R.string.stand_in_vehicle), ink.stop)
    private val place = Key(context, ink, context.getString(R.string.place_missing), gloves = false) { screen.sun() }
    private val car = CarView(context, ink)
    private val how = Key(context, ink, "", gloves = false) { screen.sayHow() }
    private val span = Key(context, ink, "", gloves = false, weight = Weight.CHOICE) { screen.wholeSide() }
    private val sweep = Key(context, ink, context.getString(R.string.sweep_phone), gloves = false, weight = Weight.CHOICE) { screen.sweeps() }
    private val seen = Key(context, ink, context.getString(R.string.seen_so_far), gloves = false) { screen.seen() }
    private val spots = Key(context, ink, context.getString(R.string.missed_spots), gloves = false) { screen.spots() }
    private val back = Key(context, ink, context.getString(R.string.take_back, context.getString(R.string.said_look)), gloves = false) { screen.takeBack() }
    private val sayHow = Key(context, ink, context.getString(R.string.say_light), weight = Weight.NEXT) { screen.sayHow() }
    private val swept = Key(context, ink, context.getString(R.string.swept), weight = Weight.NEXT) { screen.sweptOver() }
    private val shaded = Key(context, ink, context.getString(R.string.shaded_here)) { screen.shadedHere() }
    private val elsewhere = Key(context, ink, context.getString(R.string.stand_elsewhere)) { screen.standElsewhere() }
    private val late = Handler(Looper.getMainLooper())
    private val tooLate = Runnable { inTime = false; shown(back, false) }
    private var inTime = false
    private var slip: String? = null

    init {
        val land = resources.configuration.orientation == Configuration.ORIENTATION_LANDSCAPE
        orientation = if (land) HORIZONTAL else VERTICAL
        car.stroke = { x, y, _, _ -> screen.touched(x, y, car.reach) }
        car.chosen = screen::chosen
        val reading = column(context, ink, head, title, wrong, about)
        // In one column where what is done lies beside what scrolls: so each stands before it in reading order.
        val ways = Keys(context, ink, if (land) 1 else 2).apply { listOf(span, sweep, seen, spots).forEach(::addView) }
        val doing = column(context, ink, sayHow, swept, Keys(context, ink, 2).apply { addView(shaded); addView(elsewhere) })
        val side = LinearLayout(context).apply { orientation = VERTICAL }
        if (land) {
            addView(car, LayoutParams(0, LayoutParams.MATCH_PARENT, 1f))
            addView(side, LayoutParams(0, LayoutParams.MATCH_PARENT, 1f).apply { marginStart = ink.dp(12) })
        } else {
            car.minimumHeight = ink.dp(220)
            reading.addView(car, LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f).apply { topMargin = ink.dp(8) })
            addView(side, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        }
        reading.addView(column(context, ink, told, back, place, how, ways))
        side.addView(scrolled(context, reading), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        side.addView(doing)
        title.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        told.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    override fun onDetachedFromWindow() {
        super.onDetachedFromWindow()
        late.removeCallbacks(tooLate)
    }

    private fun show() {
        val now = screen.now
        if (now == null) { visibility = View.INVISIBLE; return }
        visibility = View.VISIBLE
        val (ask, light) = screen.ask to screen.ways.light
        head.text = "${screen.panelName} · ${now.stageText}"
        title.text = when (ask) {
            LookScreen.Ask.HOW -> context.getString(R.string.look_how)
            LookScreen.Ask.STAND -> context.getString(R.string.look_stand)
            LookScreen.Ask.SWEEP -> context.getString(R.string.look_sweep)
            LookScreen.Ask.IMAGE -> when {
                !screen.hasImage -> context.getString(R.string.look_at)
                light == Light.RAKING -> context.getString(R.string.look_raked)
                else -> context.getString(R.string.look_image, light?.text(screen.desk.language) ?: "")
            }
        }
        shown(wrong, screen.inVehicle)
        about.text = screen.standText?.let { context.getString(R.string.you_stand, it) } ?: ""
        shown(about, screen.stand != null)
        drawing(ask)
        val made = screen.made
        told.text = listOfNotNull(made?.shows, made?.heading, made?.let { if (it.sensed) context.getString(R.string.look_sensed) else null }).plus(made?.flags ?: emptyList()).joinToString("\n")
        shown(told, made != null)
        if (made?.id != slip) {
            slip = made?.id
            late.removeCallbacks(tooLate)
            inTime = made != null
            if (made != null) late.postDelayed(tooLate, slipMs().toLong())
        }
        shown(back, inTime)
        shown(place, screen.placeMissing)
        how.text = screen.ways.texts().joinToString(", ")
        how.contentDescription = context.getString(R.string.how_looked, how.text)
        shown(how, ask != LookScreen.Ask.HOW)
        span.text = screen.side?.let { context.getString(R.string.look_along, it.text(screen.desk.language)) } ?: ""
        span.chosen = screen.ways.wholeSide
        shown(span, screen.side != null)
        sweep.chosen = screen.ways.swept
        shown(sweep, screen.canSweep)
        shown(sayHow, ask == LookScreen.Ask.HOW)
        shown(swept, ask == LookScreen.Ask.SWEEP)
        shown(elsewhere, ask == LookScreen.Ask.IMAGE)
        shown(shaded, ask != LookScreen.Ask.SWEEP)
    }

    /** The ground while it is asked where one stands, the side else. */
    private fun drawing(ask: LookScreen.Ask) {
        shown(car, ask != LookScreen.Ask.HOW)
        if (ask == LookScreen.Ask.STAND) {
            car.hatching = emptyList()
            car.show(screen.ground, null, screen.ground.places.map { PlaceShown(it.panel, it.name, "", Sign.NONE) }, emptyList())
            car.contentDescription = context.getString(R.string.ground)
        } else {
            car.hatching = screen.now?.hatching ?: emptyList()
            val lines = screen.now?.seen?.associate { it.panel to it.text } ?: emptyMap()
            car.show(screen.drawing, screen.panel, screen.drawing.places.map { PlaceShown(it.panel, it.name, lines[it.panel] ?: "", Sign.NONE) }, emptyList())
            car.contentDescription = context.getString(R.string.drawing_of, screen.panelName)
        }
    }
}
