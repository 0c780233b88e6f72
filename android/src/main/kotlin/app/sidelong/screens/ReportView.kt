package app.sidelong.screens

import android.content.Context
import android.webkit.WebView
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** The report as the owner will read it. */
class ReportView(context: Context, ink: Ink, private val screen: ReportScreen, lock: () -> Unit) : LinearLayout(context) {
    private val page = WebView(context)
    private var shown: String? = null

    init {
        orientation = VERTICAL
        // The page needs nothing else: no script, no file, no network.
        page.settings.javaScriptEnabled = false
        page.settings.allowFileAccess = false
        page.settings.allowContentAccess = false
        page.settings.blockNetworkLoads = true
        page.contentDescription = context.getString(R.string.report)
        addView(Head(context, ink, { screen.desk.back() }, lock).apply { text = context.getString(R.string.report) })
        addView(page, LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(Key(context, ink, context.getString(R.string.share), weight = Weight.NEXT) { screen.share() }, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8); bottomMargin = ink.dp(8) })
        screen.changed = ::show
        show()
    }

    private fun show() {
        val html = screen.html ?: return
        if (html == shown) return
        shown = html
        page.loadDataWithBaseURL(null, html, "text/html", "utf-8", null)
    }

    override fun onDetachedFromWindow() {
        super.onDetachedFromWindow()
        page.destroy()
    }
}
