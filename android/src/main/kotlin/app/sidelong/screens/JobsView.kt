package app.sidelong.screens

import android.content.Context
import android.text.InputType
import android.view.View
import android.view.ViewGroup
import android.widget.BaseAdapter
import android.widget.LinearLayout
import android.widget.ListView
import android.widget.TextView
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.JobLine

/** The list of jobs: reading matter above, the new job in the lower half, where a thumb is. */
class JobsView(context: Context, private val ink: Ink, private val screen: JobsScreen, lock: () -> Unit) : LinearLayout(context) {
    private val count = words(context, ink, Ink.BODY)
    private val partly = words(context, ink, Ink.SMALL, context.getString(R.string.list_building), ink.second)
    private val clocks = Key(context, ink, "") { screen.clocks() }
    private val rows = Rows()
    private val list = ListView(context)
    private val all = Key(context, ink, "", gloves = false, weight = Weight.CHOICE) { screen.showAll(!screen.all) }

    init {
        orientation = VERTICAL
        val head = Head(context, ink, null, lock)
        head.text = context.getString(R.string.app_name)
        val search = field(context, ink, context.getString(R.string.search), screen.search, InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_CAP_CHARACTERS or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS, screen::find)
        val keys = Keys(context, ink, 3)
        all.text = context.getString(R.string.all_jobs)
        keys.addView(all)
        keys.addView(Key(context, ink, context.getString(R.string.join), gloves = false, touched = screen::join))
        keys.addView(Key(context, ink, context.getString(R.string.this_phone), gloves = false, touched = screen::phone))
        list.adapter = rows
        list.divider = null
        list.dividerHeight = ink.dp(8)
        list.itemsCanFocus = true
        list.isVerticalScrollBarEnabled = true
        list.addHeaderView(column(context, ink, head, search, keys, count, partly), null, false)
        addView(list, LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(clocks, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8) })
        addView(Key(context, ink, context.getString(R.string.new_job), weight = Weight.NEXT, touched = screen::newJob), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8); bottomMargin = ink.dp(8) })
        screen.changed = ::show
        show()
    }

    private fun show() {
        val today = screen.today
        count.text = if (today == null) "" else context.getString(R.string.today_count, today.total.toInt(), today.ended.toInt(), today.answered.toInt())
        clocks.text = context.getString(R.string.clocks_open, screen.openSections)
        shown(clocks, screen.openSections > 0)
        shown(partly, !screen.complete)
        all.chosen = screen.all
        rows.jobs = screen.jobs
        rows.notifyDataSetChanged()
    }

    private inner class Rows : BaseAdapter() {
        var jobs: List<JobLine> = emptyList()
        override fun getCount() = jobs.size
        override fun getItem(at: Int) = jobs[at]
        override fun getItemId(at: Int) = at.toLong()
        override fun getView(at: Int, old: View?, parent: ViewGroup): View {
            val row = old as? Row ?: Row()
            row.show(jobs[at])
            return row
        }
    }

    private inner class Row : LinearLayout(context) {
        private val name: TextView = words(context, ink, Ink.LEAD)
        private val state: TextView = words(context, ink, Ink.BODY)
        private val opened: TextView = words(context, ink, Ink.SMALL, colour = ink.second)

        init {
            orientation = VERTICAL
            minimumHeight = ink.dp(Ink.GLOVE)
            setTag(R.id.in_gloves, true)
            setPadding(ink.dp(12), ink.dp(8), ink.dp(12), ink.dp(8))
            setBackgroundColor(ink.key)
            isClickable = true
            isFocusable = true
            listOf(name, state, opened).forEach { it.importantForAccessibility = IMPORTANT_FOR_ACCESSIBILITY_NO; addView(it) }
        }

        fun show(job: JobLine) {
            name.text = listOfNotNull(job.plate ?: job.stock ?: job.vin, job.form).joinToString(" · ")
            state.text = job.handover
            opened.text = context.getString(R.string.job_counts, job.opened, job.marks.toInt(), job.photos.toInt())
            contentDescription = listOf(name.text, state.text, opened.text).joinToString(", ")
            setOnClickListener { screen.open(job) }
        }

        override fun getAccessibilityClassName(): CharSequence = "android.widget.Button"
    }
}
