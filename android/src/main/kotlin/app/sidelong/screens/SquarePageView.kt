package app.sidelong.screens

import android.content.Context
import android.graphics.BitmapFactory
import android.view.View
import android.widget.ImageView
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** A test square that is to be tried, on a screen. */
class TrySquareView(context: Context, private val ink: Ink, private val screen: TrySquareScreen, lock: () -> Unit) : LinearLayout(context) {
    private val against = words(context, ink, Ink.LEAD, colour = ink.stop)
    private val steps = screen.steps.associate { (step, text) -> step to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.step(step) } }
    private val passes = screen.offered.associateWith { count -> Key(context, ink, count.toString(), gloves = false, weight = Weight.CHOICE) { screen.passes(count) } }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.square_missing), ink.stop)
    private val save = Key(context, ink, "", weight = Weight.NEXT) { screen.save() }

    init {
        orientation = VERTICAL
        fun recalled(label: Int, name: String) = Recalled(context, ink, context.getString(label), screen.text(name), screen.lasts(name)) { screen.write(name, it) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.square_on, screen.panelName)), against,
            Keys(context, ink, 2).apply { steps.values.forEach(::addView) },
            Key(context, ink, context.getString(R.string.photo_before), gloves = false) { screen.photo() },
            recalled(R.string.machine, Lasts.MACHINE), recalled(R.string.pad, Lasts.PAD), recalled(R.string.polish, Lasts.POLISH),
            words(context, ink, Ink.BODY, context.getString(R.string.passes)), Keys(context, ink, 3).apply { passes.values.forEach(::addView) },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(column(context, ink, missing, save))
        screen.changed = ::show
        show()
    }

    private fun show() {
        against.text = screen.against.joinToString("\n") { it.reason }
        shown(against, screen.against.isNotEmpty())
        steps.forEach { (step, key) -> key.chosen = step == screen.step }
        passes.forEach { (count, key) -> key.chosen = count == screen.passes }
        shown(missing, screen.missing)
        save.text = context.getString(if (screen.against.isEmpty()) R.string.tried else R.string.stop_and_read)
    }
}

/** What came of a test square, on a screen: what is wanting stands above, each part is one touch. */
class SquarePageView(context: Context, private val ink: Ink, private val screen: SquareScreen, lock: () -> Unit) : LinearLayout(context) {
    private val tried = words(context, ink, Ink.BODY)
    private val wanting = words(context, ink, Ink.BODY, colour = ink.stop)
    private val complete = words(context, ink, Ink.BODY, context.getString(R.string.square_complete))
    private val lowest = Key(context, ink, "") { screen.lowest() }
    private val enough = Key(context, ink, context.getString(R.string.good_enough), weight = Weight.CHOICE) { screen.enough(true) }
    private val notEnough = Key(context, ink, context.getString(R.string.not_good_enough), weight = Weight.CHOICE) { screen.enough(false) }
    private val photoTexts = words(context, ink, Ink.BODY, colour = ink.second)
    private val frames = listOf(R.string.before, R.string.after).map { name ->
        ImageView(context).apply { scaleType = ImageView.ScaleType.CENTER_CROP; contentDescription = context.getString(name) }
    }
    private val frame = LinearLayout(context)
    private val pair = Key(context, ink, context.getString(R.string.is_the_pair)) { screen.pair() }
    private val parties = screen.parties.associate { (party, text) -> party to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.by(party) } }
    private val answers = screen.answers.associate { (answer, text) -> answer to Key(context, ink, text, weight = Weight.CHOICE) { screen.answered(answer) } }

    init {
        orientation = VERTICAL
        frames.forEach { frame.addView(it, LayoutParams(0, ink.dp(150), 1f)) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.square_of, screen.panelName)), tried, wanting, complete,
            words(context, ink, Ink.BODY, context.getString(R.string.after_panel_wipe)),
            Keys(context, ink, 2).apply { addView(enough); addView(notEnough) },
            lowest,
            words(context, ink, Ink.LEAD, context.getString(R.string.pair_of_photos)), frame, photoTexts,
            Keys(context, ink, 2).apply { addView(Key(context, ink, context.getString(R.string.photo_after)) { screen.photo() }); addView(pair) },
            words(context, ink, Ink.LEAD, context.getString(R.string.owners_answer)),
            Keys(context, ink, 3).apply { parties.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.answer_saves)),
            Keys(context, ink, 2).apply { answers.values.forEach(::addView) },
            Key(context, ink, context.getString(R.string.another_square), gloves = false) { screen.another() },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        wanting.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    private fun show() {
        val square = screen.square
        if (square == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        tried.text = context.getString(R.string.square_tried, square.stepText, square.machine, square.pad, square.polish, square.passes.toInt(), square.stamp.time)
        wanting.text = square.wanting.joinToString("\n") { context.getString(R.string.first, it) }
        shown(wanting, square.wanting.isNotEmpty())
        shown(complete, square.wanting.isEmpty())
        lowest.text = square.lowestUm?.let { context.getString(R.string.lowest_is, it.toInt()) } ?: context.getString(R.string.lowest_reading)
        shown(lowest, square.gaugeReads)
        enough.chosen = square.enough == true
        notEnough.chosen = square.enough == false
        photoTexts.text = listOf(
            context.getString(R.string.line_of, context.getString(R.string.before), square.before?.text ?: context.getString(R.string.no_photo_yet)),
            context.getString(R.string.line_of, context.getString(R.string.after), square.after?.text ?: context.getString(R.string.no_photo_yet)),
        ).joinToString("\n")
        frames.zip(screen.pictures).forEach { (view, bytes) ->
            view.setImageBitmap(bytes?.let { BitmapFactory.decodeByteArray(it, 0, it.size) })
            view.visibility = if (bytes == null) INVISIBLE else VISIBLE
        }
        shown(frame, screen.pictures.any { it != null })
        shown(pair, square.before != null && square.after != null && !square.hasPair)
        answers.forEach { (answer, key) -> key.chosen = answer == square.answer }
        parties.forEach { (party, key) -> key.chosen = party == screen.by }
    }
}

/** The lowest reading by a keypad for gloves. */
class LowestView(context: Context, ink: Ink, private val screen: LowestScreen, lock: () -> Unit) : LinearLayout(context) {
    private val typing = words(context, ink, Ink.TITLE)

    init {
        orientation = VERTICAL
        val pad = Keys(context, ink, 3)
        for (digit in "123456789") pad.addView(Key(context, ink, digit.toString()) { screen.digit(digit) })
        pad.addView(Key(context, ink, context.getString(R.string.rub_out)) { screen.rub() })
        pad.addView(Key(context, ink, "0") { screen.digit('0') })
        pad.addView(Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() })
        val body = low(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.lowest_on, screen.panelName)), typing, pad,
        )
        addView(body, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        typing.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    private fun show() { typing.text = context.getString(R.string.micrometres, screen.digits.ifEmpty { "–" }) }
}
