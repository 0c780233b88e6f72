package app.sidelong

import android.app.Application
import android.content.Context
import app.sidelong.platform.AndroidKeys
import app.sidelong.platform.Bell
import app.sidelong.platform.Hands
import app.sidelong.platform.HardwareKey
import app.sidelong.platform.KeyChest
import app.sidelong.platform.PhoneBell
import app.sidelong.platform.PhoneClock
import app.sidelong.platform.PhoneHands
import app.sidelong.platform.PhoneKey
import app.sidelong.platform.PhoneRandom
import app.sidelong.platform.PhoneSenses
import app.sidelong.platform.PhoneVault
import app.sidelong.platform.Senses
import java.io.File
import sidelong.core.Clock
import sidelong.core.Notebook
import sidelong.core.Platform
import sidelong.core.Random

/** The one process: it holds the one notebook and the one desk, whatever becomes of the screens. */
class App : Application() {
    /** The desk; made at the first look at it, on the main thread. */
    val desk: AppDesk by lazy { AppDesk(this) }
}

/** What the program asks of the phone. Tests put fakes here for what their machine does not have. */
object Parts {
    var clock: () -> Clock = { PhoneClock() }
    var random: () -> Random = { PhoneRandom() }
    var keys: () -> KeyChest = { AndroidKeys() }
    var own: () -> HardwareKey = { AndroidKeys() }
    var hands: (Context) -> Hands = { PhoneHands(it) }
    var senses: (Context) -> Senses = { PhoneSenses(it) }
    var bell: (Context) -> Bell = { PhoneBell(it) }

    /** Opens the notebook of this phone. */
    fun open(context: Context, bell: Bell): Notebook {
        val home = File(context.filesDir, "notebook").apply { mkdirs() }
        val vault = PhoneVault(File(context.filesDir, "seed"), keys)
        return Notebook.open(home.path, Platform(clock(), random(), vault, hardware = PhoneKey(own), bell = bell))
    }
}
