package app.sidelong.screens

import java.io.File
import sidelong.core.JoinView

/** Another phone's record is taken in: from a folder that is picked, or from a file that was shared. */
class JoinScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var joined: JoinView? = null
        private set
    var busy = false
        private set

    override fun look() = changed()

    fun pickFolder() = desk.pick(true)
    fun pickFile() = desk.pick(false)

    override fun came(file: File?) {
        if (file == null) return changed()
        busy = true
        changed()
        desk.ask({ core -> try { core.join(file.path) } finally { file.deleteRecursively() } }, { busy = false; changed() }) {
            joined = it
            busy = false
            changed()
        }
    }
}
