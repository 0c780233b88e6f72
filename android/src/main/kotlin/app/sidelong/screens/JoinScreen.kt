package app.sidelong.screens

import java.io.File
import sidelong.core.JoinView

/** The crew's other phones: their record is taken in from a picked folder or a shared file, and ours is handed to them. */
class JoinScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var joined: JoinView? = null
        private set
    var busy = false
        private set

    override fun look() = changed()

    fun pickFolder() = desk.pick(true)
    fun pickFile() = desk.pick(false)

    /** Packs this phone's record into one file and hands it to a program that the person chooses. */
    fun handOver() = desk.unlocked {
        val file = File(desk.shares, "record.sidelong")
        busy = true
        changed()
        desk.ask({ core -> file.delete(); core.pack(file.path, true); file }, { busy = false; changed() }) {
            busy = false
            changed()
            desk.share(it, "application/octet-stream")
        }
    }

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
