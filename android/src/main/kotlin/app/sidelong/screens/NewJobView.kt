package app.sidelong.screens

import android.content.Context
import android.text.InputType
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.BodyForm
import sidelong.core.Finish
import sidelong.core.JobLine
import sidelong.core.Scope

/** A new job: what is typed stands above, the bodies, which open it, below. */
class NewJobView(context: Context, private val ink: Ink, private val screen: NewJobScreen, lock: () -> Unit) : LinearLayout(context) {
    private val offers = Keys(context, ink, 1)
    private val offered = words(context, ink, Ink.BODY, context.getString(R.string.seen_before))
    private var shown: List<JobLine>? = null
    private val offerKeys = mutableMapOf<String, Key>()
    private val finishKeys = mutableMapOf<Finish, Key>()
    private val scopeKeys = mutableMapOf<Scope, Key>()

    init {
        orientation = VERTICAL
        val plain = InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS
        val capital = plain or InputType.TYPE_TEXT_FLAG_CAP_CHARACTERS
        val finishes = Keys(context, ink, 2)
        screen.finishes.forEach { (finish, text) ->
            finishKeys[finish] = Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.finish(finish) }.also(finishes::addView)
        }
        val scopes = Keys(context, ink, 3)
        screen.scopes.forEach { (scope, text) ->
            scopeKeys[scope] = Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.scope(scope) }.also(scopes::addView)
        }
        val forms = Keys(context, ink, 3)
        screen.forms.forEach { (form: BodyForm, text) -> forms.addView(Key(context, ink, text) { screen.isForm(form) }) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.new_job) },
            field(context, ink, context.getString(R.string.plate), screen.plate, capital) { screen.write("plate", it) },
            offered, offers,
            words(context, ink, Ink.BODY, context.getString(R.string.which_scope)), scopes,
            words(context, ink, Ink.LEAD, context.getString(R.string.which_body)), forms,
            words(context, ink, Ink.BODY, context.getString(R.string.may_be_left_out), ink.second),
            words(context, ink, Ink.BODY, context.getString(R.string.which_finish)), finishes,
            field(context, ink, context.getString(R.string.colour), screen.colour) { screen.write("colour", it) },
            field(context, ink, context.getString(R.string.vin), screen.vin, capital) { screen.write("vin", it) },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        if (shown != screen.alike) {
            shown = screen.alike
            offers.removeAllViews()
            offerKeys.clear()
            screen.alike.take(MOST).forEach { job ->
                val text = context.getString(R.string.same_car, listOfNotNull(job.plate, job.form).joinToString(" · "), job.opened, job.marks.toInt())
                offerKeys[job.job] = Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.same(job) }.also(offers::addView)
            }
        }
        shown(offered, screen.alike.isNotEmpty())
        shown(offers, screen.alike.isNotEmpty())
        offerKeys.forEach { (job, key) -> key.chosen = screen.earlier == job }
        finishKeys.forEach { (finish, key) -> key.chosen = screen.finish == finish }
        scopeKeys.forEach { (scope, key) -> key.chosen = scope in screen.scope }
    }

    private companion object {
        /** More are found by searching the list. */
        const val MOST = 3
    }
}
