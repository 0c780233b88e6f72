package app.sidelong.screens

import java.io.File
import sidelong.core.*

/** A photo of a mark, a place or the whole car: how near says one touch, then the phone's own camera takes it. */
class PhotoScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val framings get() = Framing.entries.map { it to it.text(desk.language) }
    val of get() = page.about["panel"]?.let { panelName(it, desk.language) }
    val ofMark get() = page.about["mark"] != null

    /** A photo that came back from the camera and is not on record yet: the program may have been ended in between. */
    var waiting: File? = null
        private set

    /** True when the person came back without a photo. */
    var none = false
        private set

    override fun look() {
        val file = typed("photo")?.let { File(desk.inbox, it) }
        desk.ask({ file?.takeIf { it.length() > 0 } }) { waiting = it; changed() }
    }

    fun take(framing: Framing) {
        none = false
        page.typed["framing"] = framing.name
        desk.photograph(page)
    }

    override fun came(file: File?) {
        waiting = file
        none = file == null
        if (file != null) keepIt() else changed()
    }

    /** Puts the photo that came back on record. */
    fun keepIt() {
        val file = waiting ?: return
        val framing = Framing.entries.firstOrNull { it.name == typed("framing") } ?: Framing.OVERALL
        val attached = AttachPhoto(mark = page.about["mark"], panel = page.about["panel"], view = framing, file = file.name)
        desk.record(page, about("job"), Act.AttachPhoto(attached)) {
            // It lies in the record now; what is left of it in the inbox is our own copy.
            desk.ask({ file.delete() }) {}
            desk.back()
        }
    }
}
