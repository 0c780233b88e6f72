package app.sidelong.screens

import android.content.Context
import android.os.Handler
import android.os.Looper
import android.view.MotionEvent
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.ClockStage
import sidelong.core.ClockView
import sidelong.core.slipMs

/** The clocks on a screen: a card a section, what is due next on top, with what can be done with it; begun sections below. */
class ClocksPageView(context: Context, private val ink: Ink, private val screen: ClocksScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val none = words(context, ink, Ink.LEAD, context.getString(R.string.no_section_open))
    private val cards = column(context, ink)
    private val lateTitle = words(context, ink, Ink.BODY, context.getString(R.string.levelled_late))
    private val late = words(context, ink, Ink.BODY)
    private val quiet = RingingNote(context, ink, screen.desk)
    private val back = Key(context, ink, context.getString(R.string.take_back, context.getString(R.string.said_levelled)), gloves = false) { screen.takeBack() }
    private val begin = Key(context, ink, context.getString(R.string.begin_section)) { screen.begin() }
    private val hand = Handler(Looper.getMainLooper())
    private val shownCards = mutableListOf<Card>()
    private var order: List<Any>? = null
    private var touched = false
    private var slip: String? = null
    private var inTime = false
    private val tooLate = Runnable { inTime = false; shown(back, false) }
    private val tick = object : Runnable {
        override fun run() {
            screen.tick()
            hand.postDelayed(this, TICK_MS)
        }
    }

    init {
        orientation = VERTICAL
        head.text = context.getString(R.string.clocks)
        val body = column(context, ink, head, none, cards, lateTitle, late, quiet)
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        // On a small screen the sections that wait have the room; the next one is begun below them.
        val low = resources.configuration.run { screenHeightDp / fontScale } >= ROOMY_DP
        addView(column(context, ink, back).apply { setPadding(0, 0, 0, ink.dp(8)); if (low) addView(begin, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8) }) })
        if (!low) body.addView(begin, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8) })
        screen.changed = ::show
        show()
    }

    override fun onAttachedToWindow() {
        super.onAttachedToWindow()
        hand.postDelayed(tick, TICK_MS)
    }

    override fun onDetachedFromWindow() {
        super.onDetachedFromWindow()
        hand.removeCallbacks(tick)
        hand.removeCallbacks(tooLate)
    }

    /** While a finger is on the glass no card moves below it. */
    override fun dispatchTouchEvent(event: MotionEvent): Boolean {
        when (event.actionMasked) {
            MotionEvent.ACTION_DOWN -> touched = true
            MotionEvent.ACTION_UP, MotionEvent.ACTION_CANCEL -> touched = false
        }
        return super.dispatchTouchEvent(event)
    }

    private fun show() {
        val clocks = screen.clocks
        if (clocks == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        val now = clocks.open.map { listOf(it.layerId, it.stage, screen.next(it).map { next -> next.text }) }
        if (now != order && !touched) {
            order = now
            cards.removeAllViews()
            shownCards.clear()
            clocks.open.forEach { clock -> Card(clock).let { shownCards += it; cards.addView(it, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8) }) } }
        }
        for (card in shownCards) clocks.open.firstOrNull { it.layerId == card.layer }?.let(card::tell)
        shown(none, clocks.open.isEmpty())
        shown(cards, clocks.open.isNotEmpty())
        late.text = clocks.late.joinToString("\n") { context.getString(R.string.line_of, context.getString(R.string.section_layer, it.section, it.layer.toInt()), it.text) }
        shown(lateTitle, clocks.late.isNotEmpty())
        shown(late, clocks.late.isNotEmpty())
        quiet.show()
        if (screen.made != slip) {
            slip = screen.made
            hand.removeCallbacks(tooLate)
            inTime = slip != null
            if (inTime) hand.postDelayed(tooLate, slipMs().toLong())
        }
        shown(back, inTime)
        shown(begin, screen.beginsIn != null)
    }

    /** One open section. What is due says so in words; the colour only repeats it. */
    private inner class Card(clock: ClockView) : LinearLayout(context) {
        val layer = clock.layerId
        private val text = words(context, ink, Ink.TITLE)
        private val unsure = words(context, ink, Ink.SMALL, context.getString(R.string.clock_unsure), ink.second)

        init {
            orientation = VERTICAL
            setPadding(ink.dp(8), ink.dp(4), ink.dp(8), ink.dp(8))
            setBackgroundColor(ink.key)
            val section = context.getString(R.string.section_layer, clock.section, clock.layer.toInt())
            val car = if (screen.job == null) clock.vehicle else null
            addView(text)
            addView(words(context, ink, Ink.BODY, section))
            addView(words(context, ink, Ink.SMALL, listOfNotNull(car, clock.product, clock.who.ifEmpty { null }).joinToString(" · "), ink.second))
            addView(unsure)
            val keys = Keys(context, ink, 2)
            val weight = if (clock.stage == ClockStage.WAITS) Weight.PLAIN else Weight.NEXT
            keys.addView(Key(context, ink, context.getString(R.string.levelled), weight = weight) { screen.level(clock) }.apply {
                contentDescription = context.getString(R.string.line_of, context.getString(R.string.levelled), section)
            })
            for (next in screen.next(clock)) {
                val where = if (next.input.layer == clock.layer) next.section else next.text
                keys.addView(Key(context, ink, context.getString(R.string.levelled_open, where)) { screen.level(clock, next) })
            }
            addView(keys, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(4) })
            tell(clock)
        }

        fun tell(clock: ClockView) {
            text.text = clock.text
            text.setTextColor(if (clock.stage == ClockStage.OVERDUE) ink.stop else ink.ink)
            shown(unsure, !clock.sure)
        }
    }

    private companion object {
        /** Twice in the shortest time that is told, so that none is left out. */
        const val TICK_MS = 500L

        /** Height of a screen that holds three cards and one more key, at the usual size of type. */
        const val ROOMY_DP = 640
    }
}

/** That the phone does not ring, or not to the second, and the way to let it. Nothing where it rings. */
class RingingNote(context: Context, ink: Ink, private val desk: Desk) : LinearLayout(context) {
    private val why = words(context, ink, Ink.BODY)

    init {
        orientation = VERTICAL
        addView(why)
        addView(Key(context, ink, context.getString(R.string.let_ring), gloves = false) { desk.letRing() })
        show()
    }

    fun show() {
        val ringing = desk.ringing
        why.text = context.getString(if (ringing == Ringing.SILENT) R.string.rings_not else R.string.rings_about)
        shown(this, ringing != Ringing.RINGS)
    }
}
