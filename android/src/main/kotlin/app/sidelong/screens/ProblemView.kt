package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.NotebookException

/** What went wrong, what is safe, and the one thing to do. It stays until it has been read. */
class ProblemView(context: Context, private val ink: Ink, read: () -> Unit) : LinearLayout(context) {
    private val text = words(context, ink, Ink.BODY, colour = 0xFFFFFFFF.toInt())

    init {
        orientation = VERTICAL
        setBackgroundColor(ink.stopFill)
        setPadding(ink.dp(12), ink.dp(8), ink.dp(12), ink.dp(8))
        accessibilityLiveRegion = ACCESSIBILITY_LIVE_REGION_ASSERTIVE
        addView(text)
        addView(Key(context, ink, context.getString(R.string.understood), gloves = false) { visibility = View.GONE; read() })
        visibility = View.GONE
    }

    fun show(error: Throwable?) = if (error == null) visibility = View.GONE else show(said(error))

    fun show(what: String) {
        text.text = what
        visibility = View.VISIBLE
    }

    private fun said(error: Throwable): String = when (error) {
        is NotebookException.Refused -> context.getString(R.string.problem_refused, error.reason)
        is NotebookException.StorageFull -> context.getString(R.string.problem_full)
        is NotebookException.Photo -> context.getString(R.string.problem_photo, error.reason)
        is NotebookException.SeedMissing -> context.getString(R.string.problem_key)
        is NotebookException.Damaged -> context.getString(R.string.problem_damaged, error.place, error.found)
        is NotebookException.NotJoined -> context.getString(R.string.problem_join, error.reason)
        is NotebookException.NotFound -> context.getString(R.string.problem_not_found, error.what)
        is NotebookException.StoreNewer -> context.getString(R.string.problem_newer)
        else -> context.getString(R.string.problem_other, error.message ?: error.javaClass.simpleName)
    }
}
