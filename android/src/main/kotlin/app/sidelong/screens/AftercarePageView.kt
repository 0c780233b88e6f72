package app.sidelong.screens

import android.content.Context
import android.text.InputType
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.Sleeps
import sidelong.core.WashHabit

/** The aftercare on a screen: the clocks of the last layer on top, then when to look again, then how the car is used. */
class AftercarePageView(context: Context, private val ink: Ink, private val screen: AftercareScreen, lock: () -> Unit) : LinearLayout(context) {
    private val body = column(context, ink)
    private val cure = words(context, ink, Ink.BODY)
    private val keep = words(context, ink, Ink.BODY)
    private val look = words(context, ink, Ink.BODY)
    private val notes = words(context, ink, Ink.SMALL, colour = ink.second)
    private val share = Key(context, ink, context.getString(R.string.share_calendar), weight = Weight.NEXT) { screen.share() }
    private val sleeps = Sleeps.entries.associateWith { Key(context, ink, it.text(screen.desk.language), gloves = false, weight = Weight.CHOICE) { screen.sleeps(it) } }
    private val washed = WashHabit.entries.associateWith { Key(context, ink, it.text(screen.desk.language), gloves = false, weight = Weight.CHOICE) { screen.washed(it) } }
    private val heat = Key(context, ink, context.getString(R.string.use_heat), gloves = false, weight = Weight.CHOICE) { screen.heat() }
    private val salt = Key(context, ink, context.getString(R.string.use_salt), gloves = false, weight = Weight.CHOICE) { screen.salt() }
    private val wrong = words(context, ink, Ink.BODY, context.getString(R.string.whole_number_wrong), ink.stop)
    private val lookTitle = words(context, ink, Ink.LEAD, context.getString(R.string.look_again_when))
    private var built = false

    init {
        orientation = VERTICAL
        val head = Head(context, ink, { screen.desk.back() }, lock)
        head.text = context.getString(R.string.aftercare)
        addView(scrolled(context, column(context, ink, head, cure, keep, lookTitle, look, notes, share, body).apply { setPadding(0, 0, 0, ink.dp(8)) }), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    /** Its fields hold what is on record, so they are made when that is known. */
    private fun build() {
        built = true
        body.addView(column(
            context, ink, words(context, ink, Ink.LEAD, context.getString(R.string.how_used)),
            words(context, ink, Ink.BODY, context.getString(R.string.use_sleeps)), Keys(context, ink, 2).apply { sleeps.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.use_washed)), Keys(context, ink, 3).apply { washed.values.forEach(::addView) },
            Keys(context, ink, 2).apply { addView(heat); addView(salt) },
            field(context, ink, context.getString(R.string.use_km), screen.km, InputType.TYPE_CLASS_NUMBER) { screen.km(it) },
            field(context, ink, context.getString(R.string.use_age), screen.age, InputType.TYPE_CLASS_NUMBER) { screen.age(it) },
            wrong, Key(context, ink, context.getString(R.string.save_use)) { screen.saveUse() },
        ))
    }

    private fun show() {
        val (clocks, work) = screen.cure to screen.work
        if (clocks == null || work == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        if (!built) build()
        cure.text = clocks.joinToString("\n\n") { it.text }.ifEmpty { context.getString(R.string.nothing_levelled) }
        keep.text = (clocks.map { it.because } + work.aftercare.filter { it.wait == null }.map { it.text }).filter { it.isNotEmpty() }.distinct().joinToString("\n")
        shown(keep, keep.text.isNotEmpty())
        look.text = work.lookAgain.joinToString("\n\n") { (listOf(it.text) + it.reasons).joinToString("\n") }
        shown(lookTitle, work.lookAgain.isNotEmpty())
        shown(look, work.lookAgain.isNotEmpty())
        val unsure = if (clocks.any { !it.sure }) listOf(context.getString(R.string.clock_unsure)) else emptyList()
        notes.text = (work.notes + unsure).joinToString("\n")
        shown(notes, notes.text.isNotEmpty())
        shown(share, screen.dated)
        sleeps.forEach { (at, key) -> key.chosen = at == screen.sleeps }
        washed.forEach { (by, key) -> key.chosen = by == screen.washed }
        heat.chosen = screen.heat
        salt.chosen = screen.salt
        shown(wrong, screen.wrong)
    }
}
