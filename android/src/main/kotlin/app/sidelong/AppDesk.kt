package app.sidelong

import android.content.Context
import android.os.Handler
import android.os.Looper
import app.sidelong.platform.FilesProvider
import app.sidelong.screens.Desk
import app.sidelong.screens.Names
import app.sidelong.screens.Page
import app.sidelong.screens.Screen
import app.sidelong.screens.Screens
import app.sidelong.screens.Settings
import app.sidelong.screens.Trail
import java.io.File
import java.util.concurrent.ExecutorService
import java.util.concurrent.Executors
import java.util.concurrent.atomic.AtomicInteger
import sidelong.core.*

/**
 * The desk of this phone: one worker that alone speaks with the core, so that what was touched first is recorded first;
 * the pages from the list to the present screen; and the door to camera, sharing and picking, which the activity opens.
 */
class AppDesk(private val context: Context) : Desk {
    private val worker: ExecutorService = Executors.newSingleThreadExecutor { Thread(it, "core") }
    private val main = Handler(Looper.getMainLooper())
    private val hands = Parts.hands(context)
    private val senses = Parts.senses(context)
    private val bell = Parts.bell(context)
    private val trail = Trail(File(context.filesDir, "trail"))
    private var notebook: Notebook? = null

    private val recording = mutableSetOf<Page>()

    /** Questions that are not answered yet. */
    val waiting = AtomicInteger()

    /** Where it is shown; none while no activity is there. */
    var stage: Stage? = null
        set(value) {
            field = value
            value?.show(screen)
        }

    /** What the activity does for the desk. */
    interface Stage {
        fun show(screen: Screen)
        fun photograph(file: File)
        fun share(file: File, type: String)
        fun pick(folder: Boolean)
        fun unlock(yes: () -> Unit)
        fun letRing(asked: Boolean)
        fun mayPlace(answer: (Boolean) -> Unit)
        fun leave()
        fun redraw()
    }

    /** What went wrong last and what is safe, until the person has read it. */
    var problem: Throwable? = null
        private set

    /** What is called when it should be shown or taken away. */
    var problemChanged: () -> Unit = {}

    override val settings = object : Settings {
        override fun get(name: String): String? = trail.set[name]
        override fun set(name: String, value: String?) {
            if (value == null) trail.set.remove(name) else trail.set[name] = value
            keep()
        }
    }

    override val language: Language
        get() = localeOf(context.resources.configuration.locales[0].country)

    override val shares: File get() = FilesProvider.Folder.SHARES.of(context)
    override val inbox: File get() = FilesProvider.Folder.CAMERA.of(context)

    /** The screen on top. */
    lateinit var screen: Screen
        private set

    init {
        if (trail.pages.firstOrNull()?.name != Names.JOBS || trail.pages.any { it.name !in Screens.all }) {
            trail.pages.clear()
            trail.pages += Page(Names.JOBS)
        }
        begin()
        // What was recorded before the program ended need not be asked for again.
        val kept = trail.pages.mapNotNull { page -> page.typed[Page.INPUT]?.let { page to it } }
        if (kept.isNotEmpty()) {
            ask({ core -> kept.filter { core.isRecorded(it.second) } }) { done ->
                done.forEach { (page, _) -> page.typed.clear() }
                keep()
                screen.look()
            }
        }
        ask({ shares.listFiles()?.forEach { it.delete() } }) {}
    }

    /** Opens the page that was kept; one that lacks what it is about is left for the list, and not met at every start. */
    private fun begin() = try {
        screen = Screens.open(this, trail.pages.last())
        screen.look()
    } catch (_: RuntimeException) {
        trail.pages.clear()
        trail.pages += Page(Names.JOBS)
        screen = Screens.open(this, trail.pages.last())
        screen.look()
    }

    override fun <T> ask(question: (Notebook) -> T, failed: () -> Unit, answer: (T) -> Unit) {
        waiting.incrementAndGet()
        worker.execute {
            val result = runCatching { question(notebook ?: Parts.open(context, bell).also { notebook = it }) }
            main.post {
                try {
                    result.onSuccess(answer).onFailure { tell(it); failed() }
                } finally {
                    waiting.decrementAndGet()
                }
            }
        }
    }

    override fun record(page: Page, job: String, act: Act, saved: (Changes) -> Unit) {
        if (!recording.add(page)) return // A second touch while the first is being saved.
        ask({ core -> page.typed[Page.INPUT] ?: core.newId() }, { recording -= page; hands.refused() }) { id ->
            page.typed[Page.INPUT] = id
            val text = trail.text()
            ask({ core ->
                trail.write(text) // Under this id it is asked about after the end of the process.
                try {
                    Result.success(core.record(Input(id, job, null, act)))
                } catch (refused: NotebookException) {
                    Result.failure(refused)
                }
            }, { recording -= page; hands.refused() }) { result ->
                recording -= page
                result.onSuccess { changes ->
                    page.typed.clear()
                    keep()
                    hands.saved()
                    saved(changes)
                }.onFailure { refused ->
                    // What is said anew after a refusal is other content and needs another id. After anything else, a full
                    // store for example, the same touch may come again, and must not be recorded twice.
                    if (refused is NotebookException.Refused || refused is NotebookException.InputReused || refused is NotebookException.Photo) {
                        page.typed.remove(Page.INPUT)
                        keep()
                    }
                    hands.refused()
                    tell(refused)
                }
            }
        }
    }

    override fun keep() {
        val text = trail.text()
        worker.execute { runCatching { trail.write(text) } }
    }

    override fun go(page: Page) = moved { trail.pages += page }
    override fun replace(page: Page) = moved { trail.pages[trail.pages.lastIndex] = page }
    override fun below(page: Page): Page? = trail.pages.getOrNull(trail.pages.indexOf(page) - 1)

    override fun back() {
        if (trail.pages.size == 1) stage?.leave() ?: Unit else moved { trail.pages.removeAt(trail.pages.lastIndex) }
    }

    override fun backTo(name: String) = moved {
        while (trail.pages.size > 1 && trail.pages.last().name != name) trail.pages.removeAt(trail.pages.lastIndex)
    }

    private fun moved(move: () -> Unit) {
        rest()
        move()
        keep()
        screen.changed = {}
        screen = Screens.open(this, trail.pages.last())
        stage?.show(screen)
        screen.look()
    }

    override fun photograph(page: Page) {
        val name = page.typed.getOrPut(PHOTO) { "${java.util.UUID.randomUUID()}.jpg" }
        keep()
        val file = File(inbox, name)
        ask({ file.createNewFile() }) { stage?.photograph(file) }
    }

    /** The camera was left: with a photo, or without. */
    fun photographed(taken: Boolean) {
        val file = screen.page.typed[PHOTO]?.let { File(inbox, it) }
        screen.came(file?.takeIf { taken && it.length() > 0 })
    }

    override fun share(file: File, type: String) { stage?.share(file, type) }
    override fun pick(folder: Boolean) { stage?.pick(folder) }

    /** Something was picked, or shared to us: copied by `copy` off the main thread, then handed to the screen. */
    fun picked(copy: (() -> File)?) {
        if (copy == null) screen.came(null) else ask({ copy() }, { screen.came(null) }) { screen.came(it) }
    }

    override fun unlocked(yes: () -> Unit) { stage?.unlock(yes) }
    override fun redraw() { stage?.redraw() }

    override val turns get() = senses.turns
    override val following get() = senses.following
    override fun follow() = senses.follow()
    override fun followed() = senses.turned()
    override fun place(answer: (Earth?) -> Unit) {
        stage?.mayPlace { may -> if (may) senses.place(answer) else answer(null) } ?: answer(null)
    }

    override val ringing get() = bell.ringing

    override fun letRing() {
        val stage = stage ?: return
        val asked = settings[Settings.RING_ASKED] != null
        settings[Settings.RING_ASKED] = Settings.RING_ASKED
        stage.letRing(asked)
    }

    /** An alarm went off: what is due now is rung, and what comes after it is set. */
    fun rang(done: () -> Unit) = ask({ core ->
        val due = core.clocks(null, language).open.filter { it.stage != ClockStage.WAITS }
        bell.ring(due.map { context.getString(R.string.section_layer, "${it.vehicle} · ${it.section}", it.layer.toInt()) to it.text })
        bell.again()
    }, done) { done() }

    /** The phone was started: opening the notebook has told the bell; one that was open is set once more. */
    fun started(done: () -> Unit) = ask({ bell.again() }, done) { done() }

    /** The person is back: how the phone rings may have been changed meanwhile. */
    fun woke() {
        bell.again()
        screen.changed()
    }

    /** A notice was touched. */
    fun openClocks() {
        if (screen.page.name == Names.CLOCKS) screen.look() else go(Page(Names.CLOCKS))
    }

    /** The person turned away: the lamp goes out, and a sweep that was not finished is made anew. */
    fun rest() {
        if (!senses.following) return
        senses.turned()
        screen.changed()
    }

    private fun tell(error: Throwable) {
        problem = error
        problemChanged()
    }

    /** The person has read it. */
    fun read() {
        problem = null
        problemChanged()
    }

    /** Ends the worker and lets the notebook go, as the end of the process would. For tests of just that. */
    fun end() {
        worker.shutdown()
        worker.awaitTermination(30, java.util.concurrent.TimeUnit.SECONDS)
        notebook?.destroy()
        notebook = null
    }

    companion object {
        /** Under this name `typed` holds the name of the photo's file. */
        const val PHOTO = "photo"
    }
}
