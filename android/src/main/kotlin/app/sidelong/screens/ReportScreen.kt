package app.sidelong.screens

import java.io.File

/** The condition report: shown as the page that it is, and handed to whoever the person chooses. */
class ReportScreen(desk: Desk, page: Page) : Screen(desk, page) {
    /** The page, HTML. */
    var html: String? = null
        private set

    override fun look() {
        val (job, language) = about("job") to desk.language
        desk.ask({ core -> core.report(job, language) }) { html = it; changed() }
    }

    fun share() {
        val html = html ?: return
        val file = File(desk.shares, "condition-report.html")
        desk.ask({ file.writeText(html); file }) { desk.share(it, "text/html") }
    }
}
