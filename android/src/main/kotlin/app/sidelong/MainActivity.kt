package app.sidelong

import android.Manifest
import android.app.Activity
import android.app.KeyguardManager
import android.content.ActivityNotFoundException
import android.content.ClipData
import android.content.Context
import android.content.Intent
import android.content.pm.PackageManager
import android.net.Uri
import android.os.Build
import android.os.Bundle
import android.provider.MediaStore
import android.provider.Settings as PhoneSettings
import android.view.View
import android.widget.FrameLayout
import android.widget.LinearLayout
import app.sidelong.platform.FilesProvider
import app.sidelong.platform.Given
import app.sidelong.platform.PhoneBell
import app.sidelong.screens.Names
import app.sidelong.screens.Page
import app.sidelong.screens.ProblemView
import app.sidelong.screens.Ringing
import app.sidelong.screens.Screen
import app.sidelong.screens.Screens
import app.sidelong.screens.Settings
import app.sidelong.widgets.Ink
import app.sidelong.widgets.WetLock
import java.io.File

/** The one window: it shows the desk's screen, and opens for it what only an activity can. Nothing is kept here. */
class MainActivity : Activity(), AppDesk.Stage {
    private val desk get() = (application as App).desk
    private lateinit var ink: Ink
    private lateinit var room: FrameLayout
    private lateinit var root: FrameLayout
    private lateinit var all: LinearLayout

    // Made when they are needed: a start should not wait for what most days do not show.
    private var problem: ProblemView? = null
    private var wet: WetLock? = null
    private var unlocked: (() -> Unit)? = null
    private var placed: ((Boolean) -> Unit)? = null

    override fun onCreate(state: Bundle?) {
        super.onCreate(state)
        ink = Ink(this, desk.settings[Settings.CONTRAST] != null)
        room = FrameLayout(this)
        all = LinearLayout(this).apply {
            orientation = LinearLayout.VERTICAL
            addView(room, LinearLayout.LayoutParams(LinearLayout.LayoutParams.MATCH_PARENT, 0, 1f))
        }
        root = FrameLayout(this).apply {
            setBackgroundColor(ink.paper)
            // Everything may be read in the sun: 7:1 throughout.
            setTag(R.id.in_sun, true)
            addView(all)
        }
        // Since Android 15 a window reaches below the bars and the keyboard: its content keeps clear of them.
        root.setOnApplyWindowInsetsListener { view, insets ->
            val edge = ink.dp(6)
            @Suppress("DEPRECATION")
            view.setPadding(edge + insets.systemWindowInsetLeft, insets.systemWindowInsetTop, edge + insets.systemWindowInsetRight, insets.systemWindowInsetBottom)
            insets
        }
        setContentView(root)
        desk.problemChanged = { tell(desk.problem) }
        desk.stage = this
        tell(desk.problem)
        wetness()
        if (state == null) shared(intent)
    }

    override fun onResume() {
        super.onResume()
        desk.woke()
    }

    override fun onPause() {
        desk.rest()
        super.onPause()
    }

    override fun onDestroy() {
        if (desk.stage === this) {
            desk.stage = null
            desk.problemChanged = {}
        }
        super.onDestroy()
    }

    override fun onNewIntent(intent: Intent) {
        super.onNewIntent(intent)
        shared(intent)
    }

    /** A notice was touched, or another phone's record was shared to us. */
    @Suppress("DEPRECATION")
    private fun shared(intent: Intent?) {
        if (intent?.action == PhoneBell.OPEN_CLOCKS) return desk.openClocks()
        if (intent?.action != Intent.ACTION_SEND) return
        val from = intent.getParcelableExtra<Uri>(Intent.EXTRA_STREAM) ?: return
        desk.go(Page(Names.JOIN))
        desk.picked { Given.file(contentResolver, from, File(cacheDir, "given/record.sidelong")) }
    }

    override fun show(screen: Screen) {
        room.removeAllViews()
        room.addView(Screens.view(this, ink, screen) { desk.settings[Settings.WET] = Settings.WET; wetness() })
    }

    private fun problemView(): ProblemView = problem ?: ProblemView(this, ink) { desk.read() }.also {
        problem = it
        all.addView(it, 0)
    }

    private fun tell(error: Throwable?) {
        if (error != null || problem != null) problemView().show(error)
    }

    private fun wetness() {
        val locked = desk.settings[Settings.WET] != null
        if (locked && wet == null) {
            wet = WetLock(this, ink) { desk.settings[Settings.WET] = null; wetness() }
            root.addView(wet, FrameLayout.LayoutParams(FrameLayout.LayoutParams.MATCH_PARENT, FrameLayout.LayoutParams.MATCH_PARENT))
        }
        wet?.visibility = if (locked) View.VISIBLE else View.GONE
        // What lies under the lock is not touched and not read out.
        room.importantForAccessibility = if (locked) View.IMPORTANT_FOR_ACCESSIBILITY_NO_HIDE_DESCENDANTS else View.IMPORTANT_FOR_ACCESSIBILITY_AUTO
    }

    @Deprecated("Its successor came with Android 13.")
    override fun onBackPressed() {
        if (desk.settings[Settings.WET] == null) desk.back()
    }

    override fun leave() = finish()
    override fun redraw() = recreate()

    override fun photograph(file: File) {
        val to = FilesProvider.uri(FilesProvider.Folder.CAMERA, file)
        val intent = Intent(MediaStore.ACTION_IMAGE_CAPTURE).putExtra(MediaStore.EXTRA_OUTPUT, to)
        intent.clipData = ClipData.newRawUri(null, to)
        intent.addFlags(Intent.FLAG_GRANT_WRITE_URI_PERMISSION or Intent.FLAG_GRANT_READ_URI_PERMISSION)
        start(intent, PHOTO) { desk.photographed(false) }
    }

    override fun share(file: File, type: String) {
        val from = FilesProvider.uri(FilesProvider.Folder.SHARES, file)
        val intent = Intent(Intent.ACTION_SEND).setType(type).putExtra(Intent.EXTRA_STREAM, from)
        intent.clipData = ClipData.newRawUri(null, from)
        intent.addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
        start(Intent.createChooser(intent, null), null) {}
    }

    override fun pick(folder: Boolean) {
        val intent = if (folder) Intent(Intent.ACTION_OPEN_DOCUMENT_TREE)
        else Intent(Intent.ACTION_OPEN_DOCUMENT).addCategory(Intent.CATEGORY_OPENABLE).setType("*/*")
        start(intent, if (folder) FOLDER else FILE) { desk.picked(null) }
    }

    override fun unlock(yes: () -> Unit) {
        val guard = getSystemService(Context.KEYGUARD_SERVICE) as KeyguardManager
        @Suppress("DEPRECATION") // Works from Android 5 on, without asking for a fingerprint's permission.
        val intent = if (guard.isDeviceSecure) guard.createConfirmDeviceCredentialIntent(getString(R.string.app_name), getString(R.string.unlock_why)) else null
        if (intent == null) return yes()
        unlocked = yes
        start(intent, UNLOCK) { unlocked = null }
    }

    override fun mayPlace(answer: (Boolean) -> Unit) {
        if (checkSelfPermission(Manifest.permission.ACCESS_COARSE_LOCATION) == PackageManager.PERMISSION_GRANTED) return answer(true)
        placed = answer
        requestPermissions(arrayOf(Manifest.permission.ACCESS_COARSE_LOCATION), PLACE)
    }

    /** Notices first, then alarms to the second; each in the system's own words. After two noes the system asks no more, and its settings are opened. */
    override fun letRing(asked: Boolean) {
        val mine = Uri.fromParts("package", packageName, null)
        when (desk.ringing) {
            Ringing.RINGS -> return
            Ringing.ABOUT -> start(Intent(ALLOW_EXACT, mine), null) {}
            Ringing.SILENT ->
                if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.TIRAMISU && checkSelfPermission(NOTIFY) != PackageManager.PERMISSION_GRANTED && (!asked || shouldShowRequestPermissionRationale(NOTIFY))) requestPermissions(arrayOf(NOTIFY), RING)
                else start(Intent(PhoneSettings.ACTION_APP_NOTIFICATION_SETTINGS).putExtra(PhoneSettings.EXTRA_APP_PACKAGE, packageName), null) {}
        }
    }

    override fun onRequestPermissionsResult(code: Int, asked: Array<out String>, given: IntArray) {
        super.onRequestPermissionsResult(code, asked, given)
        if (code == RING) desk.woke()
        if (code == PLACE) placed.also { placed = null }?.invoke(given.firstOrNull() == PackageManager.PERMISSION_GRANTED)
    }

    /** Starts another program; without one that can, the person is not left without a word. */
    private fun start(intent: Intent, code: Int?, none: () -> Unit) {
        try {
            if (code == null) startActivity(intent) else @Suppress("DEPRECATION") startActivityForResult(intent, code)
        } catch (_: ActivityNotFoundException) {
            problemView().show(getString(R.string.no_program))
            none()
        }
    }

    @Deprecated("Its successor is AndroidX's.")
    override fun onActivityResult(code: Int, result: Int, data: Intent?) {
        val well = result == RESULT_OK
        val picked = data?.data
        when (code) {
            PHOTO -> desk.photographed(well)
            FILE -> desk.picked(if (well && picked != null) ({ Given.file(contentResolver, picked, File(cacheDir, "given/record.sidelong")) }) else null)
            FOLDER -> desk.picked(if (well && picked != null) ({ Given.folder(contentResolver, picked, File(cacheDir, "given/record")) }) else null)
            UNLOCK -> unlocked.also { unlocked = null }?.let { if (well) it() }
        }
    }

    companion object {
        private const val PHOTO = 1
        private const val FILE = 2
        private const val FOLDER = 3
        private const val UNLOCK = 4
        private const val PLACE = 5
        private const val RING = 6

        // Names that came with Android 13 and 12.
        private const val NOTIFY = "android.permission.POST_NOTIFICATIONS"
        private const val ALLOW_EXACT = "android.settings.REQUEST_SCHEDULE_EXACT_ALARM"
    }
}
