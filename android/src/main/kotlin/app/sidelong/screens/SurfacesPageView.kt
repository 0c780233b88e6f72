package app.sidelong.screens

import android.content.Context
import android.os.Handler
import android.os.Looper
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.NextStepView
import sidelong.core.slipMs

/**
 * The surfaces on a screen: what comes next on the place that is open, to read; what is done now, and a cloth that fell, on two
 * large keys below; the other places in between.
 */
class SurfacesPageView(context: Context, private val ink: Ink, private val screen: SurfacesScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.surfaces) }
    private val fallen = column(context, ink)
    private val place = words(context, ink, Ink.LEAD)
    private val about = words(context, ink, Ink.BODY, colour = ink.second)
    private val nothing = words(context, ink, Ink.BODY, context.getString(R.string.nothing_here_yet))
    private val nexts = column(context, ink)
    private val back = Key(context, ink, "", gloves = false) { screen.takeBack() }
    private val tools = Keys(context, ink, 2)
    private val othersTitle = words(context, ink, Ink.LEAD, context.getString(R.string.all_surfaces))
    private val others = Keys(context, ink, 1)
    private val go = Key(context, ink, "", weight = Weight.NEXT) { screen.go() }
    private val fell = Key(context, ink, context.getString(R.string.cloth_fell)) { screen.fell() }
    private val late = Handler(Looper.getMainLooper())
    private val tooLate = Runnable { inTime = false; shown(back, false) }
    private var inTime = false
    private var slip: String? = null

    init {
        orientation = VERTICAL
        listOf(
            Key(context, ink, context.getString(R.string.another_place), gloves = false) { screen.other() },
            Key(context, ink, context.getString(R.string.feel_test), gloves = false) { screen.feel() },
            Key(context, ink, context.getString(R.string.another_step), gloves = false) { screen.anotherStep() },
            Key(context, ink, context.getString(R.string.test_square), gloves = false) { screen.square() },
            Key(context, ink, context.getString(R.string.what_it_is), gloves = false) { screen.whatItIs() },
            Key(context, ink, context.getString(R.string.cloths), gloves = false) { screen.cloths() },
            Key(context, ink, context.getString(R.string.agreed_work), gloves = false) { screen.work() },
            Key(context, ink, context.getString(R.string.plan), gloves = false) { screen.plan() },
        ).forEach(tools::addView)
        val reading = column(context, ink, head, fallen, place, about, nothing, nexts, back, tools, othersTitle, others)
        addView(scrolled(context, reading), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(column(context, ink, Keys(context, ink, 2).apply { addView(fell); addView(go) }))
        place.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    override fun onDetachedFromWindow() {
        super.onDetachedFromWindow()
        late.removeCallbacks(tooLate)
    }

    private fun show() {
        if (screen.treated == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        val panel = screen.panel
        fell()
        place.text = screen.atName ?: context.getString(R.string.no_place_yet)
        about.text = listOfNotNull(
            panel?.surfaceText ?: screen.surfaceText,
            panel?.keepOff?.takeIf { it.isNotEmpty() }?.let { context.getString(R.string.kept_off, it.joinToString(", ")) },
            panel?.note, panel?.removal,
        ).joinToString("\n")
        shown(about, about.text.isNotEmpty())
        nexts.removeAllViews()
        panel?.let { screen.nexts(it) }.orEmpty().forEach(::next)
        shown(nothing, nexts.childCount == 0)
        takeBack()
        others.removeAllViews()
        screen.panels.forEach { other ->
            val key = Key(context, ink, context.getString(R.string.line_of, other.panelName, screen.line(other)), gloves = false, weight = Weight.CHOICE) { screen.open(other.panel) }
            key.chosen = other.panel == screen.at
            others.addView(key)
        }
        shown(othersTitle, screen.panels.size > 1)
        shown(others, screen.panels.size > 1)
        large()
    }

    /** Where a cloth fell and nobody has looked since. */
    private fun fell() {
        fallen.removeAllViews()
        screen.waiting.forEach { it ->
            val keys = Keys(context, ink, 2)
            keys.addView(Key(context, ink, context.getString(R.string.looked_nothing)) { screen.lookedAt(it) })
            keys.addView(Key(context, ink, context.getString(R.string.mark_there)) { screen.mark(it) })
            listOf(0, 1).map(keys::getChildAt).forEach { key -> key.contentDescription = "${(key as Key).text}: ${it.text}" }
            fallen.addView(column(context, ink, words(context, ink, Ink.BODY, context.getString(R.string.look_is_due, it.text), ink.stop), keys))
        }
        shown(fallen, screen.waiting.isNotEmpty())
    }

    /** One road of the place: the step, why, on what it rests, what comes before it and how, and what speaks against it. */
    private fun next(next: NextStepView) {
        val block = column(context, ink, words(context, ink, Ink.LEAD, next.text))
        fun line(text: String, colour: Int = ink.ink) = block.addView(words(context, ink, Ink.BODY, text, colour))
        line(next.reason)
        screen.restsOn(next)?.let { line(context.getString(R.string.rests_on, it.stamp.time, it.text), ink.second) }
        next.first.forEach { line(context.getString(R.string.first, it)) }
        if (next.protectAgain) line(context.getString(R.string.protect_again))
        next.refused.forEach { refusal ->
            if (refusal.setAside) line(context.getString(R.string.set_aside_line, refusal.text), ink.second) else line(refusal.text, ink.stop)
        }
        next.how.forEach { line(it, ink.second) }
        next.asGood.forEach { step ->
            val text = context.getString(R.string.done_instead, step.text(screen.desk.language))
            block.addView(column(context, ink, Key(context, ink, text, gloves = false) { screen.instead(step) }))
        }
        if (next === screen.next) doneHere(block)
        // What the large key is not for.
        else if (screen.doing(next) == SurfacesScreen.Do.STOP) {
            block.addView(column(context, ink, Key(context, ink, context.getString(R.string.stop_and_read), gloves = false) { screen.stop(next) }))
        }
        nexts.addView(block)
    }

    /** Beside the large key: done with what reacted, and done on all that wait for the same. */
    private fun doneHere(block: LinearLayout) {
        if (screen.reactions.isNotEmpty()) {
            val keys = Keys(context, ink, 2)
            screen.reactions.forEach { (reaction, text) -> keys.addView(Key(context, ink, text) { screen.done(listOf(reaction)) }) }
            block.addView(column(context, ink, words(context, ink, Ink.BODY, context.getString(R.string.done_reacted)), keys))
        }
        val alike = screen.alike
        if (alike.size > 1) {
            val text = context.getString(R.string.done_on_all, alike.size, alike.joinToString(", ") { it.panelName })
            block.addView(column(context, ink, Key(context, ink, text, gloves = false) { screen.doneOnAll() }))
        }
    }

    private fun takeBack() {
        val made = screen.made
        back.text = context.getString(R.string.take_back, screen.madeText)
        if (made != slip) {
            slip = made
            late.removeCallbacks(tooLate)
            inTime = made != null
            if (made != null) late.postDelayed(tooLate, slipMs().toLong())
        }
        shown(back, inTime)
    }

    private fun large() {
        val next = screen.next
        val doing = next?.let(screen::doing) ?: SurfacesScreen.Do.NOTHING
        go.text = context.getString(
            when (doing) {
                SurfacesScreen.Do.STOP -> R.string.stop_and_read
                SurfacesScreen.Do.FEEL -> R.string.feel_it
                SurfacesScreen.Do.LOOK -> R.string.look_there
                SurfacesScreen.Do.SQUARE -> R.string.test_square
                else -> R.string.done
            },
        )
        go.contentDescription = next?.let { context.getString(R.string.line_of, go.text, it.text) }
        shown(go, doing != SurfacesScreen.Do.NOTHING)
    }
}

/** What a surface is, on a screen: what it can be, what on it is kept off. */
class SurfacePageView(context: Context, private val ink: Ink, private val screen: SurfaceScreen, lock: () -> Unit) : LinearLayout(context) {
    private val kinds = Keys(context, ink, 2)
    private val edges = Keys(context, ink, 2)
    private val save = Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() }

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.what_is, screen.panelName)), kinds,
            words(context, ink, Ink.BODY, context.getString(R.string.which_kept_off)), edges,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(column(context, ink, save))
        screen.changed = ::show
        show()
    }

    private fun show() {
        visibility = if (screen.place == null) INVISIBLE else VISIBLE
        kinds.removeAllViews()
        screen.kinds.forEach { (kind, text) -> kinds.addView(Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.kind(kind) }.apply { chosen = kind == screen.kind }) }
        edges.removeAllViews()
        screen.edges.forEach { (edge, text) -> edges.addView(Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.also(edge) }.apply { chosen = edge in screen.also }) }
    }
}
