package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.RefusalView

/** A refused step on a screen: the reason large; going on anyway only after a second touch, with a reason and a consent. */
class RefusedPageView(context: Context, private val ink: Ink, private val screen: RefusedScreen, lock: () -> Unit) : LinearLayout(context) {
    private val reasons = column(context, ink)
    private val never = words(context, ink, Ink.BODY, context.getString(R.string.never_aside))
    private val leave = Key(context, ink, context.getString(R.string.leave_it), weight = Weight.NEXT) { screen.desk.back() }
    private val goOn = Key(context, ink, context.getString(R.string.go_on_refused)) { screen.goOn() }
    private val reason = Recalled(context, ink, context.getString(R.string.reason), screen.reason, screen.reasons) { screen.write(it) }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.reason_missing), ink.stop)
    private val who = words(context, ink, Ink.BODY, context.getString(R.string.who_consents))
    private val parties = Keys(context, ink, 3)
    private var shown: List<RefusalView>? = null

    init {
        orientation = VERTICAL
        screen.parties.forEach { (party, text) -> parties.addView(Key(context, ink, text) { screen.consents(party) }) }
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.BODY, context.getString(R.string.refused_on, screen.what, screen.panelName, screen.areaText)),
            reasons, never, leave, goOn, reason, missing, who, parties,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        reasons.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_ASSERTIVE
        screen.changed = ::show
        show()
    }

    private fun show() {
        val against = screen.against
        if (against == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        if (shown != against) {
            shown = against
            reasons.removeAllViews()
            against.forEach { reasons.addView(words(context, ink, Ink.TITLE, it.reason, ink.stop)) }
        }
        val asks = screen.mayOverride && screen.goesOn
        shown(never, !screen.mayOverride)
        shown(leave, !asks)
        shown(goOn, screen.mayOverride && !asks)
        listOf(reason, who, parties).forEach { shown(it, asks) }
        shown(missing, asks && screen.missing)
    }
}
