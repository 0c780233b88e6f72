package app.sidelong.screens

import android.content.Context
import android.content.res.Configuration
import android.os.Handler
import android.os.Looper
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.DrawingView
import sidelong.core.Outcome
import sidelong.core.WalkNow
import sidelong.core.slipMs

/**
 * The walk on a screen: reading matter above, the vehicle in the middle, what is done in the lower half. In landscape
 * the vehicle stands beside what is done.
 */
class WalkView(context: Context, private val ink: Ink, private val screen: WalkScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.backTo(Names.JOBS) }, lock)
    private val title = words(context, ink, Ink.LEAD)
    private val about = words(context, ink, Ink.BODY, colour = ink.second)
    private val car = CarView(context, ink)
    private val how = Key(context, ink, "", gloves = false) { screen.sayHow() }
    private val places = Key(context, ink, context.getString(R.string.all_places), gloves = false) { screen.places() }
    private val light = Key(context, ink, context.getString(R.string.light), gloves = false) { screen.lookUnderLight() }
    private val known = Keys(context, ink, 2)
    private val slip = Key(context, ink, "", gloves = false) { screen.takeBack() }
    private val photo = Key(context, ink, context.getString(R.string.photo_of_mark), gloves = false) { screen.addToMark() }
    private val after = Keys(context, ink, 2).apply { addView(slip); addView(photo) }
    private val nothing = Key(context, ink, context.getString(R.string.nothing_seen), weight = Weight.NEXT) { screen.nothingSeen() }
    private val goOn = Key(context, ink, context.getString(R.string.go_on), weight = Weight.NEXT) { screen.goOn() }
    private val finished = Key(context, ink, context.getString(R.string.walk_done), weight = Weight.NEXT) { screen.more() }
    private val markHere = Key(context, ink, context.getString(R.string.mark_here)) { screen.place?.let { screen.choose(it.panel) } }
    private val couldNot = Key(context, ink, context.getString(R.string.could_not_see)) { screen.couldNotSee() }
    private val pass = Key(context, ink, "") { screen.passSide() }
    private val more = Key(context, ink, context.getString(R.string.more)) { screen.more() }
    private val others = Keys(context, ink, 3)
    private val late = Handler(Looper.getMainLooper())
    private val tooLate = Runnable { screen.tooLate() }

    init {
        val land = resources.configuration.orientation == Configuration.ORIENTATION_LANDSCAPE
        orientation = if (land) HORIZONTAL else VERTICAL
        listOf(markHere, couldNot, pass, more).forEach(others::addView)
        car.stroke = { a, b, c, d -> screen.stroke(a, b, c, d, car.reach) }
        car.chosen = screen::choose
        val reading = column(context, ink, head, title)
        val beside = column(context, ink, about, Keys(context, ink, 3).apply { addView(how); addView(light); addView(places) }, known, after)
        // What is done stays under the thumb whatever the type's size; what is read scrolls above it.
        val doing = column(context, ink, nothing, goOn, finished, others)
        val side = LinearLayout(context).apply { orientation = VERTICAL }
        if (land) {
            addView(car, LayoutParams(0, LayoutParams.MATCH_PARENT, 1f))
            addView(side, LayoutParams(0, LayoutParams.MATCH_PARENT, 1f).apply { marginStart = ink.dp(12) })
        } else {
            car.minimumHeight = ink.dp(160)
            reading.addView(car, LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f).apply { topMargin = ink.dp(8) })
            addView(side, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        }
        reading.addView(beside)
        side.addView(scrolled(context, reading), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        side.addView(doing)
        // A save is spoken too, and where one stands now.
        slip.accessibilityLiveRegion = ACCESSIBILITY_LIVE_REGION_POLITE
        title.accessibilityLiveRegion = ACCESSIBILITY_LIVE_REGION_POLITE
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
        val place = screen.place
        head.text = "${now.vehicle} · ${now.stageText}"
        title.text = place?.name ?: context.getString(R.string.every_place_answered)
        about.text = listOfNotNull(place?.text, if (place?.again == true) context.getString(R.string.second_look) else null, now.progress).joinToString(" · ")
        how.text = if (screen.how.isEmpty()) context.getString(R.string.how_not_said) else screen.how.joinToString(", ")
        how.contentDescription = context.getString(R.string.how_looked, how.text)
        val drawing = screen.drawing
        if (drawing != null && place?.drawn != null) car.show(drawing, now.at, now, screen.marks)
        shown(car, place?.drawn != null)
        shown(markHere, place != null && place.drawn == null)
        val answered = place != null && place.outcome != Outcome.NOT_LOOKED
        shown(nothing, place != null && !answered)
        shown(goOn, answered && now.next != null)
        shown(finished, (place == null || answered) && now.next == null)
        shown(couldNot, place != null && !answered)
        shown(pass, place?.side != null && now.places.any { it.side == place.side && it.outcome == Outcome.NOT_LOOKED })
        place?.side?.let { pass.text = context.getString(R.string.past_side, it.text(screen.desk.language)) }
        known.removeAllViews()
        screen.known.forEach { mark ->
            known.addView(Key(context, ink, context.getString(R.string.seen_again, mark.label, mark.text)) { screen.seenAgain(mark) })
        }
        shown(known, screen.known.isNotEmpty())
        late.removeCallbacks(tooLate)
        val slip = screen.slip
        shown(after, slip != null)
        if (slip != null) {
            this.slip.text = context.getString(R.string.take_back, said(slip))
            shown(photo, slip.said == WalkScreen.Said.MARK)
            late.postDelayed(tooLate, slipMs().toLong())
        }
    }

    private fun said(slip: WalkScreen.Slip): String = when (slip.said) {
        WalkScreen.Said.NOTHING_SEEN -> context.getString(R.string.said_nothing_seen)
        WalkScreen.Said.PASSED -> context.getString(R.string.said_passed)
        WalkScreen.Said.SEEN_AGAIN -> context.getString(R.string.said_seen_again)
        WalkScreen.Said.MARK -> context.getString(R.string.said_mark, slip.mark ?: "")
        WalkScreen.Said.COULD_NOT_SEE -> context.getString(R.string.said_could_not_see)
    }

}

/** Shows a walk-around on the vehicle: what is on record of each place, and the marks. */
fun CarView.show(drawing: DrawingView, at: String?, now: WalkNow, marks: List<MarkDrawn>) {
    show(drawing, at, now.places.filter { it.side != null }.map { PlaceShown(it.panel, it.name, it.text, sign(it.outcome)) },
        marks.map { MarkShown(it.label, it.from.x, it.from.y, it.to.x, it.to.y) })
    contentDescription = context.getString(R.string.drawing_of, now.vehicle)
}

private fun sign(outcome: Outcome): Sign = when (outcome) {
    Outcome.NOTHING_SEEN -> Sign.NOTHING_SEEN
    Outcome.MARKS -> Sign.MARKS
    Outcome.COULD_NOT_SEE -> Sign.COULD_NOT_SEE
    Outcome.NOT_LOOKED -> Sign.NOT_LOOKED
}
