package app.sidelong.screens

import android.content.Context
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** The ways from a job to its work: the clocks in one touch, a further section, what was measured, sheets and lots, the aftercare. */
fun workKeys(context: Context, ink: Ink, desk: Desk, job: String): LinearLayout {
    fun key(text: Int, page: String) = Key(context, ink, context.getString(text)) { desk.go(Page(page, "job" to job)) }
    val keys = Keys(context, ink, 3)
    listOf(
        key(R.string.clocks, Names.CLOCKS), key(R.string.begin_section, Names.LAYER), key(R.string.conditions, Names.CONDITIONS),
        key(R.string.sheets_and_lots, Names.SHEETS), key(R.string.aftercare, Names.AFTERCARE),
    ).forEach(keys::addView)
    return column(context, ink, words(context, ink, Ink.LEAD, context.getString(R.string.the_layers)), keys)
}
