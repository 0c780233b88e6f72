package app.sidelong.screens

import sidelong.core.Corner

/** What is set on this phone: where a walk begins, who records, how strong the contrast is. */
class PhoneScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val corners get() = Corner.entries.map { it to it.text(desk.language) }
    val corner get() = desk.settings.corner
    val contrast get() = desk.settings[Settings.CONTRAST] != null

    /** Who records on this phone, as it is on record. */
    var recorder: String? = null
        private set

    override fun look() = desk.ask({ core -> core.recorder() }) { recorder = it; changed() }

    fun corner(corner: Corner) {
        desk.settings[Settings.CORNER] = corner.name
        changed()
    }

    fun contrast(yes: Boolean) {
        desk.settings[Settings.CONTRAST] = if (yes) "strong" else null
        desk.redraw()
    }

    /** From here on this person records. */
    fun recorder(name: String) {
        if (name.isNotBlank()) desk.ask({ core -> core.switchRecorder(name.trim()) }) { look() }
    }

    fun shop() = desk.go(Page(Names.SHOP))

    fun write(name: String) {
        page.typed["name"] = name
        desk.keep()
    }
}
