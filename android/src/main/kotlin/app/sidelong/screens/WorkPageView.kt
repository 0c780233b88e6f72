package app.sidelong.screens

import android.content.Context
import android.widget.EditText
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.Area
import sidelong.core.MarkKind
import sidelong.core.Reaction

/** A field whose last texts are offered below it, to be touched instead of typed. */
class Recalled(context: Context, ink: Ink, name: CharSequence, text: String, last: List<String>, typed: (String) -> Unit) : LinearLayout(context) {
    private val named = field(context, ink, name, text, typed = typed)
    private val edit = named.getChildAt(1) as EditText

    init {
        orientation = VERTICAL
        val keys = Keys(context, ink, 2)
        last.forEach { keys.addView(Key(context, ink, it, gloves = false) { edit.setText(it) }) }
        addView(column(context, ink, named, keys))
        shown(keys, last.isNotEmpty())
    }
}

/** Agreed work on a screen: what is on record, then steps, where, and by whom, which saves. */
class WorkPageView(context: Context, private val ink: Ink, private val screen: WorkScreen, lock: () -> Unit) : LinearLayout(context) {
    private val agreed = words(context, ink, Ink.BODY)
    private val steps = screen.steps.associate { (step, text) -> step to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.step(step) } }
    private val where = Keys(context, ink, 2)
    private val not = Key(context, ink, context.getString(R.string.not_wanted), gloves = false, weight = Weight.CHOICE) { screen.notWanted() }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.work_missing), ink.stop)
    private val saves = words(context, ink, Ink.LEAD)

    init {
        orientation = VERTICAL
        val parties = Keys(context, ink, 3)
        screen.parties.forEach { (party, text) -> parties.addView(Key(context, ink, text) { screen.by(party) }) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.agreed_work) },
            agreed,
            words(context, ink, Ink.LEAD, context.getString(R.string.which_work)), Keys(context, ink, 2).apply { steps.values.forEach(::addView) },
            words(context, ink, Ink.LEAD, context.getString(R.string.where_work)), where,
            Key(context, ink, context.getString(R.string.another_place), gloves = false) { screen.other() },
            not, missing, saves, parties,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        agreed.text = screen.agreed.joinToString("\n").ifEmpty { context.getString(R.string.nothing_agreed) }
        steps.forEach { (step, key) -> key.chosen = step in screen.chosen }
        where.removeAllViews()
        screen.groups.forEach { group ->
            where.addView(Key(context, ink, context.getString(R.string.all_of, group.name), gloves = false, weight = Weight.CHOICE) { screen.group(group) }.apply { chosen = group.name in screen.where })
        }
        screen.atName?.let { name -> where.addView(Key(context, ink, name, gloves = false, weight = Weight.CHOICE) { screen.hereToo() }.apply { chosen = screen.here }) }
        not.chosen = screen.not
        saves.text = context.getString(if (screen.not) R.string.not_agreed_by else R.string.agreed_by)
        shown(missing, screen.missing)
    }
}

/** A step that was done, on a screen. */
class StepPageView(context: Context, private val ink: Ink, private val screen: StepScreen, lock: () -> Unit) : LinearLayout(context) {
    private val which = Key(context, ink, "", gloves = false) { screen.which() }
    private val against = words(context, ink, Ink.LEAD, colour = ink.stop)
    private val areas = screen.areas.associate { (area, text) -> area to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.on(area) } }
    private val reactedTitle = words(context, ink, Ink.BODY, context.getString(R.string.what_reacted))
    private val reacted = Keys(context, ink, 2)
    private val sawTitle = words(context, ink, Ink.BODY, context.getString(R.string.what_was_seen))
    private val saw = Keys(context, ink, 2)
    private val product = Recalled(context, ink, context.getString(R.string.with_product), screen.product, screen.products) { screen.write(it) }
    private val done = Key(context, ink, "", weight = Weight.NEXT) { screen.done() }

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.done_on, screen.panelName)), which, against,
            Keys(context, ink, 2).apply { areas.values.forEach(::addView) },
            reactedTitle, reacted, sawTitle, saw, product,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(column(context, ink, done))
        screen.changed = ::show
        show()
    }

    private fun show() {
        which.text = screen.stepText ?: context.getString(R.string.which_step_done)
        against.text = screen.against.joinToString("\n") { it.text }
        shown(against, screen.against.isNotEmpty())
        areas.forEach { (area: Area, key) -> key.chosen = area == screen.on }
        reacted.removeAllViews()
        screen.reactions.forEach { (reaction: Reaction, text) -> reacted.addView(Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.reacted(reaction) }.apply { chosen = reaction in screen.reacted }) }
        shown(reactedTitle, screen.reactions.isNotEmpty())
        shown(reacted, screen.reactions.isNotEmpty())
        saw.removeAllViews()
        screen.kinds.forEach { (kind: MarkKind, text) -> saw.addView(Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.saw(kind) }.apply { chosen = kind == screen.saw }) }
        shown(sawTitle, screen.kinds.isNotEmpty())
        shown(saw, screen.kinds.isNotEmpty())
        shown(product, screen.step != null)
        done.text = context.getString(
            when {
                screen.step == null -> R.string.which_step_done
                screen.against.isNotEmpty() -> R.string.stop_and_read
                screen.isSquare -> R.string.test_square
                else -> R.string.done
            },
        )
    }
}
