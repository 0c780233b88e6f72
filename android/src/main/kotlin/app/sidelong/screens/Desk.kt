package app.sidelong.screens

import java.io.File
import sidelong.core.Act
import sidelong.core.Changes
import sidelong.core.Corner
import sidelong.core.Earth
import sidelong.core.Language
import sidelong.core.Notebook
import sidelong.core.Turned

/**
 * A screen as it is kept: which one it is, what it is about, and what was put in on it so far. Written down at every
 * change, so that a phone that dies comes back to this very screen.
 *
 * `about` says what the screen is about (a job's id, a panel). `typed` is what was put in and is not on record yet; under
 * [INPUT] it holds the id under which it will be recorded.
 */
class Page(
    val name: String,
    val about: MutableMap<String, String> = mutableMapOf(),
    val typed: MutableMap<String, String> = mutableMapOf(),
) {
    constructor(name: String, vararg about: Pair<String, String>) : this(name, mutableMapOf(*about))

    companion object {
        /** Name under which `typed` holds the input's id. */
        const val INPUT = "input"
    }
}

/** What a person chose for this phone, kept until it is changed. */
interface Settings {
    operator fun get(name: String): String?
    operator fun set(name: String, value: String?)

    /** The corner at which a walk begins. */
    val corner: Corner get() = Corner.entries.firstOrNull { it.name == this[CORNER] } ?: Corner.FRONT_LEFT

    companion object {
        const val CORNER = "corner"

        /** Set while the contrast is strong. */
        const val CONTRAST = "contrast"

        /** Set while the wet lock is on. */
        const val WET = "wet"

        /** Set once it was asked whether the phone may ring. */
        const val RING_ASKED = "ring-asked"
    }
}

/**
 * What a screen can do. A screen knows of the core and of this, not of Android: every question to the core is asked
 * off the main thread, one at a time and in order, and answered on the main thread.
 */
interface Desk {
    val language: Language
    val settings: Settings

    /** Asks the core. What it throws is told to the person; `failed` is called after that. */
    fun <T> ask(question: (Notebook) -> T, failed: () -> Unit = {}, answer: (T) -> Unit)

    /**
     * Records an act under the id that the page keeps, so that it is recorded once, whatever happens to the program.
     * When `saved` is called it is on record; the page's `typed` is empty then. A save is felt and heard.
     */
    fun record(page: Page, job: String, act: Act, saved: (Changes) -> Unit)

    /** Writes down what the pages hold. Called at every change of `typed` and `about`. */
    fun keep()

    /** Opens a page on top of this one. */
    fun go(page: Page)

    /** The page under this one. */
    fun below(page: Page): Page?

    /** Opens a page in place of this one. */
    fun replace(page: Page)

    /** Leaves this page. */
    fun back()

    /** Leaves pages until one of this name is on top; the first one stays. */
    fun backTo(name: String)

    /** Has the phone's camera take a photo; [Screen.came] is called when the person comes back from it. */
    fun photograph(page: Page)

    /** Hands a file of ours to another program that the person chooses. */
    fun share(file: File, type: String)

    /** Has the person pick a folder or a file of another phone's record; [Screen.came] is called with a local copy. */
    fun pick(folder: Boolean)

    /** Asks the person to show that the phone is theirs, where the phone has a lock; `yes` is called if so. */
    fun unlocked(yes: () -> Unit)

    /** Whether the phone can follow how it is turned. */
    val turns: Boolean

    /** True from [follow] until [followed], or until the person leaves. */
    val following: Boolean

    /** Lights the phone's lamp and follows how it is turned. */
    fun follow()

    /** Puts the lamp out and says how it was turned since. */
    fun followed(): List<Turned>

    /** About where on earth the phone is, if the person allows it; null when that is not known. */
    fun place(answer: (Earth?) -> Unit)

    /** How far the phone rings when a section is due. */
    val ringing: Ringing

    /** Asks the person to let it. A no leaves everything else as it is. */
    fun letRing()

    /** Draws everything anew: something was chosen that all screens show. */
    fun redraw()

    /** A folder for files that are shared; what lies in it is thrown away at the next start. */
    val shares: File

    /** The folder from which photos are taken in. */
    val inbox: File
}

/** How far a phone rings: to the second, some time later, or not at all. */
enum class Ringing { RINGS, ABOUT, SILENT }

/** A screen without its views: what it shows, and what a person can do on it. */
abstract class Screen(val desk: Desk, val page: Page) {
    /** Called when what is shown has changed; set by the view. */
    var changed: () -> Unit = {}

    /** Asks the core for what is shown. Called when the screen comes to the top. */
    abstract fun look()

    /** The person came back from the camera or from picking: with a file, or without one. */
    open fun came(file: File?) {}

    /** What was put in under a name. */
    fun typed(name: String): String? = page.typed[name]

    /** Keeps what was put in; null takes it away. */
    fun type(name: String, value: String?) {
        if (value == null) page.typed.remove(name) else page.typed[name] = value
        desk.keep()
        changed()
    }

    /** What the page is about. */
    fun about(name: String): String = page.about.getValue(name)
}

/** Pages by name, so that one that was kept finds its screen again. */
object Names {
    const val JOBS = "jobs"
    const val NEW_JOB = "new-job"
    const val JOB = "job"
    const val WALK = "walk"
    const val HOW = "how"
    const val PLACES = "places"
    const val MARK = "mark"
    const val COULD_NOT_SEE = "could-not-see"
    const val FEEL = "feel"
    const val THICKNESS = "thickness"
    const val PHOTO = "photo"
    const val OWNER = "owner"
    const val REPORT = "report"
    const val JOIN = "join"
    const val PHONE = "phone"
    const val LOOK = "look"
    const val LOOK_HOW = "look-how"
    const val SEEN = "seen"
    const val SUN = "sun"
    const val SPOTS = "spots"
    const val FIND_SPOT = "find-spot"
    const val SPOT = "spot"
    const val CLOCKS = "clocks"
    const val LAYER = "layer"
    const val CONDITIONS = "conditions"
    const val SHEETS = "sheets"
    const val SHEET = "sheet"
    const val LOT = "lot"
    const val LOTS = "lots"
    const val AFTERCARE = "aftercare"
    const val SURFACES = "surfaces"
    const val SURFACE = "surface"
    const val WHICH_SURFACE = "which-surface"
    const val WORK = "work"
    const val STEP = "step"
    const val WHICH_STEP = "which-step"
    const val REFUSED = "refused"
    const val TRY_SQUARE = "try-square"
    const val SQUARE = "square"
    const val LOWEST = "lowest"
    const val PLAN = "plan"
    const val CLOTHS = "cloths"
    const val SHOP = "shop"
}
