package app.sidelong

import android.app.Activity
import android.content.res.Configuration
import android.graphics.Bitmap
import android.graphics.Rect
import android.os.Bundle
import android.os.Handler
import android.os.HandlerThread
import android.os.Looper
import android.os.Parcel
import android.os.SystemClock
import android.view.MotionEvent
import android.view.PixelCopy
import android.view.View
import android.view.ViewGroup
import android.widget.EditText
import android.widget.ScrollView
import android.widget.TextView
import app.sidelong.platform.Hands
import app.sidelong.platform.HardwareKey
import app.sidelong.platform.KeyChest
import app.sidelong.platform.Senses
import app.sidelong.screens.Screen
import app.sidelong.widgets.CarView
import java.io.File
import java.util.concurrent.atomic.AtomicInteger
import java.util.concurrent.atomic.AtomicLong
import org.robolectric.Robolectric
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.android.controller.ActivityController
import org.robolectric.shadows.Bars
import sidelong.core.Clock
import sidelong.core.Earth
import sidelong.core.Now
import sidelong.core.Random
import sidelong.core.Turned

/** A screen that a phone may have, and how its owner has set it. */
enum class Look(val qualifiers: String, val fontScale: Float = 1f) {
    PHONE("en-rGB-w411dp-h891dp-port-notnight-420dpi"),
    NIGHT("en-rGB-w411dp-h891dp-port-night-420dpi"),
    SMALL("en-rGB-w320dp-h568dp-port-notnight-xhdpi"),
    SMALL_NIGHT("en-rGB-w320dp-h568dp-port-night-xhdpi"),
    BIG_TEXT("en-rGB-w411dp-h891dp-port-notnight-420dpi", 2f),
    SMALL_BIG_TEXT("en-rGB-w320dp-h568dp-port-notnight-xhdpi", 2f),
    ARABIC("ar-rEG-ldrtl-w411dp-h891dp-port-notnight-420dpi"),
    LANDSCAPE("en-rGB-w891dp-h411dp-land-notnight-420dpi"),
    TABLET("en-rGB-w800dp-h1280dp-port-notnight-320dpi");

    /** As in file names. */
    val label = name.lowercase().replace('_', '-')
}

/** A clock that a test sets; each reading is a little later than the one before. */
class HandClock(start: Long = MORNING) : Clock {
    val at = AtomicLong(start)
    val running = AtomicLong(3_600_000)
    var boot = "boot-1"

    /** How far it goes on by itself between two readings, milliseconds. */
    var tick = 1_500L

    /** A platform that fails: nothing can be recorded then. */
    var broken = false

    override fun now(): Now {
        if (broken) throw sidelong.core.NotebookException.StorageFull()
        val mono = running.addAndGet(tick)
        return Now(at.addAndGet(tick), 60, "Europe/London", boot, mono.toULong())
    }

    companion object {
        /** Tuesday 9 June 2026, 08:00 in British summer time. */
        const val MORNING = 1_780_988_400_000L
    }
}

/** Bytes that are the same in every run. */
class SeededRandom(seed: Long) : Random {
    private val source = java.util.Random(seed)
    override fun bytes(count: UInt): ByteArray = ByteArray(count.toInt()).also(source::nextBytes)
}

/** Stands for the key store, which a test's machine does not have. It fails when it is told to. */
class FakeChest : KeyChest {
    var broken = false
    override fun wrap(plain: ByteArray): ByteArray {
        if (broken) throw java.security.GeneralSecurityException("no key")
        return byteArrayOf(7) + plain.map { (it.toInt() xor 0x5a).toByte() }
    }

    override fun unwrap(wrapped: ByteArray): ByteArray {
        if (broken || wrapped.firstOrNull() != 7.toByte()) throw java.security.GeneralSecurityException("no key")
        return wrapped.drop(1).map { (it.toInt() xor 0x5a).toByte() }.toByteArray()
    }
}

/** Stands for the key in the phone's hardware. It fails when it is told to. */
class FakeKey : HardwareKey {
    var broken = false
    override val inHardware = true
    private val pair = java.security.KeyPairGenerator.getInstance("EC")
        .apply { initialize(java.security.spec.ECGenParameterSpec("secp256r1")) }.generateKeyPair()

    override fun publicKey(): ByteArray = pair.public.encoded

    override fun sign(bytes: ByteArray): ByteArray {
        if (broken) throw java.security.ProviderException("the key store does not answer")
        return java.security.Signature.getInstance("SHA256withECDSA").run {
            initSign(pair.private)
            update(bytes)
            sign()
        }
    }
}

/** Counts what a hand would have felt. */
class CountedHands : Hands {
    val saves = AtomicInteger()
    val refusals = AtomicInteger()
    override fun saved() { saves.incrementAndGet() }
    override fun refused() { refusals.incrementAndGet() }
}

/** Stands for the phone's lamp, its rotation sensor and what it knows of its place. */
class FakeSenses : Senses {
    override var turns = true
    override var following = false
    var place: Earth? = null

    /** What the sensor will have said. */
    var turning: List<Turned> = emptyList()

    override fun follow() { following = turns }
    override fun turned(): List<Turned> = if (following) turning.also { following = false } else emptyList()
    override fun place(answer: (Earth?) -> Unit) = answer(place)
}

/** A phone in the hand of a test: it touches glass, and every touch goes through the window to the real core. */
class Phone(look: Look = Look.PHONE, seed: Long = 1, strong: Boolean = false, val clock: HandClock = HandClock()) {
    val chest = FakeChest()
    val key = FakeKey()
    val hands = CountedHands()
    val senses = FakeSenses()

    /** Touches so far: fingers put down on the glass. Letters typed on the keyboard are counted apart. */
    var touches = 0
        private set
    var letters = 0
        private set
    private var controller: ActivityController<MainActivity>
    val activity: MainActivity get() = controller.get()
    val app: App get() = RuntimeEnvironment.getApplication() as App
    val desk: AppDesk get() = app.desk
    val screen: Screen get() = desk.screen
    val files: File get() = app.filesDir

    init {
        RuntimeEnvironment.setQualifiers(look.qualifiers)
        RuntimeEnvironment.setFontScale(look.fontScale)
        Bars.standard()
        val random = SeededRandom(seed)
        Parts.clock = { clock }
        Parts.random = { random }
        Parts.keys = { chest }
        Parts.own = { key }
        Parts.hands = { hands }
        Parts.senses = { senses }
        if (strong) File(files, "trail").writeText("set contrast strong\n")
        controller = Robolectric.buildActivity(MainActivity::class.java).setup()
        settle()
    }

    /** Waits until the core has answered everything and the screen has drawn it. */
    fun settle() {
        val end = System.nanoTime() + 60_000_000_000
        while (true) {
            shadowOf(Looper.getMainLooper()).idle()
            if (desk.waiting.get() == 0) break
            check(System.nanoTime() < end) { "the core did not answer in 60 s" }
            Thread.sleep(1)
        }
        // The next frame lays out and draws.
        shadowOf(Looper.getMainLooper()).idleFor(java.time.Duration.ofMillis(20))
    }

    /** Lets time pass on every clock. */
    fun pass(ms: Long) {
        clock.at.addAndGet(ms)
        clock.running.addAndGet(ms)
        shadowOf(Looper.getMainLooper()).idleFor(java.time.Duration.ofMillis(ms))
        settle()
    }

    // -- looking

    fun views(of: View = activity.window.decorView): List<View> {
        if (!of.isShown || of.width == 0 || of.height == 0) return emptyList()
        return listOf(of) + if (of is ViewGroup) (0 until of.childCount).flatMap { views(of.getChildAt(it)) } else emptyList()
    }

    /** Every view, also what is scrolled away. */
    fun all(of: View = activity.window.decorView): List<View> =
        listOf(of) + if (of is ViewGroup) (0 until of.childCount).flatMap { all(of.getChildAt(it)) } else emptyList()

    /** Another program that was started comes back. */
    fun answer(code: Int, result: Int, data: android.content.Intent? = null) {
        val back = Activity::class.java.getDeclaredMethod("onActivityResult", Int::class.java, Int::class.java, android.content.Intent::class.java)
        back.isAccessible = true
        back.invoke(activity, code, result, data)
        settle()
    }

    /** A file is picked. */
    fun give(code: Int, file: File) {
        val uri = offered(file)
        answer(code, Activity.RESULT_OK, android.content.Intent().setData(uri))
    }

    /** A file is shared to us by another program. */
    fun share(file: File) {
        val intent = android.content.Intent(android.content.Intent.ACTION_SEND).setType("application/octet-stream")
            .putExtra(android.content.Intent.EXTRA_STREAM, offered(file))
        val fresh = Activity::class.java.getDeclaredMethod("onNewIntent", android.content.Intent::class.java).apply { isAccessible = true }
        fresh.invoke(activity, intent)
        settle()
    }

    /** A file as another program's provider would offer it. */
    private fun offered(file: File): android.net.Uri {
        val uri = android.net.Uri.parse("content://another.program/${file.name}-${file.length()}-${offers++}")
        shadowOf(activity.contentResolver).registerInputStreamSupplier(uri) { file.inputStream() }
        return uri
    }

    private var offers = 0

    fun texts(): List<String> = views().mapNotNull { (it as? TextView)?.text?.toString()?.takeIf(String::isNotBlank) }

    private fun touchable(view: View): View? = generateSequence(view) { it.parent as? View }.firstOrNull { it.isClickable }

    fun find(text: String): View? {
        val all = views()
        val exact = all.filter { (it as? TextView)?.text?.toString() == text || it.contentDescription?.toString() == text }
        val holds = all.filter { (it as? TextView)?.text?.toString()?.contains(text) == true || it.contentDescription?.toString()?.contains(text) == true }
        return (exact + holds).firstOrNull { touchable(it) != null && touchable(it) !is CarView && !covers(touchable(it)!!) }
    }

    /** The wet lock takes every touch itself and is no key. */
    private fun covers(view: View) = view is app.sidelong.widgets.WetLock

    fun has(text: String) = texts().any { text in it }

    // -- touching

    fun rect(view: View): Rect = IntArray(2).also(view::getLocationInWindow).let { Rect(it[0], it[1], it[0] + view.width, it[1] + view.height) }

    private fun event(action: Int, x: Float, y: Float, down: Long, at: Long) {
        val event = MotionEvent.obtain(down, at, action, x, y, 0)
        activity.dispatchTouchEvent(event)
        event.recycle()
    }

    /** A finger on the glass, at a place of the window. */
    fun touch(x: Float, y: Float) = stroke(x, y, x, y)

    /** A finger drawn over the glass. */
    fun stroke(fromX: Float, fromY: Float, toX: Float, toY: Float) {
        touches++
        val down = SystemClock.uptimeMillis()
        event(MotionEvent.ACTION_DOWN, fromX, fromY, down, down)
        if (fromX != toX || fromY != toY) for (i in 1..8) event(MotionEvent.ACTION_MOVE, fromX + (toX - fromX) * i / 8, fromY + (toY - fromY) * i / 8, down, down + 10L * i)
        event(MotionEvent.ACTION_UP, toX, toY, down, down + 90)
        settle()
    }

    /** A finger that stays. */
    fun hold(view: View, ms: Long) {
        touches++
        val r = rect(view)
        val down = SystemClock.uptimeMillis()
        event(MotionEvent.ACTION_DOWN, r.exactCenterX(), r.exactCenterY(), down, down)
        shadowOf(Looper.getMainLooper()).idleFor(java.time.Duration.ofMillis(ms))
        event(MotionEvent.ACTION_UP, r.exactCenterX(), r.exactCenterY(), down, down + ms)
        settle()
    }

    /** Touches what bears a text; scrolls to it first, as a thumb does without a touch being counted twice. */
    fun touch(text: String) {
        val view = find(text) ?: error("nothing to touch says \"$text\" on ${screen.page.name}; it says ${texts()}")
        touch(touchable(view)!!)
    }

    fun touch(view: View) {
        scrollTo(view)
        val r = rect(view)
        check(!r.isEmpty) { "not on the glass" }
        // A thumb hits what is on the glass of it.
        val visible = Rect().also { view.getGlobalVisibleRect(it) }
        touch(visible.exactCenterX(), visible.exactCenterY())
    }

    fun scrollTo(view: View) {
        val scroll = generateSequence(view.parent) { it.parent }.filterIsInstance<ScrollView>().firstOrNull() ?: return
        val inner = Rect(0, 0, view.width, view.height)
        scroll.offsetDescendantRectToMyCoords(view, inner)
        if (inner.top < scroll.scrollY || inner.bottom > scroll.scrollY + scroll.height) scroll.scrollTo(0, maxOf(0, inner.centerY() - scroll.height / 2))
        settle()
    }

    /** Types into the field under a name. */
    fun type(field: String, text: String) {
        val label = views().first { it is TextView && it !is EditText && it.text.toString() == field }
        val edit = views().filterIsInstance<EditText>().first { it.id == label.labelFor }
        letters += text.length
        edit.setText(text)
        settle()
    }

    val carOrNull: CarView? get() = views().filterIsInstance<CarView>().firstOrNull()
    val car: CarView get() = carOrNull!!

    /** A point of the vehicle's drawing, in units, in the window. */
    fun onGlass(x: Float, y: Float): Pair<Float, Float> {
        val at = rect(car)
        val (px, py) = car.point(x, y)
        return at.left + px to at.top + py
    }

    // -- what happens to a phone

    fun back() {
        @Suppress("DEPRECATION")
        activity.onBackPressed()
        settle()
    }

    fun turn(to: Look) {
        val landscape = to.qualifiers.contains("-land-")
        val turned = Configuration(activity.resources.configuration).apply {
            orientation = if (landscape) Configuration.ORIENTATION_LANDSCAPE else Configuration.ORIENTATION_PORTRAIT
        }
        RuntimeEnvironment.setQualifiers(to.qualifiers)
        controller.configurationChange(turned).visible()
        settle()
    }

    /** The process is killed: nothing is asked of it any more, and all that it held in memory is gone. Then it is started anew. */
    fun die() {
        val saved = Bundle()
        controller.pause().saveInstanceState(saved).stop().destroy()
        settle()
        desk.end()
        val bytes = Parcel.obtain().run { writeBundle(saved); marshall().also { recycle() } }
        val back = Parcel.obtain().run { unmarshall(bytes, 0, bytes.size); setDataPosition(0); readBundle(javaClass.classLoader)!! }
        fresh()
        controller = Robolectric.buildActivity(MainActivity::class.java).setup(back)
        settle()
    }

    /** Starts anew as a new process does, until its screen is drawn; milliseconds. */
    fun start(): Double {
        controller.pause().stop().destroy()
        settle()
        desk.end()
        fresh()
        val began = System.nanoTime()
        controller = Robolectric.buildActivity(MainActivity::class.java).setup()
        settle()
        pictureOf(activity)
        return (System.nanoTime() - began) / 1e6
    }

    /** A notice of ours is touched. */
    fun opened(intent: android.content.Intent) {
        val fresh = Activity::class.java.getDeclaredMethod("onNewIntent", android.content.Intent::class.java).apply { isAccessible = true }
        fresh.invoke(activity, intent)
        settle()
    }

    /** The person was away, in the system's settings for example, and is back. */
    fun comesBack() {
        controller.pause().resume()
        settle()
    }

    /** The desk of a new process. */
    fun fresh() {
        val desk = App::class.java.getDeclaredField("desk\$delegate").apply { isAccessible = true }
        val application = app
        desk.set(application, lazy { AppDesk(application) })
    }

    /** Ends it as a test ends. */
    fun close() {
        controller.pause().stop().destroy()
        settle()
        desk.end()
    }

    /** The window as a phone would show it. */
    /** What is shown, as it is once what a touch lights up has faded: how far that is depends on the machine. */
    fun picture(): Bitmap {
        settle()
        all().forEach { it.jumpDrawablesToCurrentState() }
        settle()
        return pictureOf(activity)
    }
}

/** A window as a phone would show it: drawn by the hardware renderer's path, shadows included. */
fun pictureOf(activity: Activity): Bitmap {
    val view = activity.window.decorView
    val picture = Bitmap.createBitmap(view.width, view.height, Bitmap.Config.ARGB_8888)
    val thread = HandlerThread("copy").apply { start() }
    try {
        var code = -1
        PixelCopy.request(activity.window, picture, { code = it }, Handler(thread.looper))
        shadowOf(thread.looper).idle()
        check(code == PixelCopy.SUCCESS) { "PixelCopy: $code" }
    } finally {
        thread.quit()
    }
    return picture
}
