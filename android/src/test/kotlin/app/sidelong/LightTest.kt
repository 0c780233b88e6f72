package app.sidelong

import android.Manifest
import android.content.Context
import android.content.pm.PackageManager
import android.hardware.Sensor
import android.hardware.SensorManager
import android.view.accessibility.AccessibilityNodeInfo
import app.sidelong.platform.PhoneSenses
import app.sidelong.screens.LookScreen
import app.sidelong.screens.Names
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.shadows.SensorEventBuilder
import org.robolectric.shadows.ShadowSensor
import sidelong.core.*

/** Looks under a light and missed spots by touches, on the real core. */
@RunWith(ShellRunner::class)
class LightTest {
    private val phone = Phone()

    @After
    fun end() = phone.close()

    private val screen get() = phone.screen as LookScreen
    private fun light() = Notebooks.ask(phone) { it.light(phone.walkJob, Language.EN_GB) }

    /** A saloon, the place where one stands, and what is said of the looks. */
    private fun begin(panel: String, vararg how: String) {
        phone.begin("AB12 CDE")
        phone.lookAt(panel)
        assertEquals(LookScreen.Ask.HOW, screen.ask)
        phone.touch("Say under which light")
        how.forEach(phone::touch)
        phone.touch("Back")
    }

    private fun refusal(): String? = (phone.desk.problem as? NotebookException.Refused)?.message

    @Test
    fun `a look in the sun in two touches, or why no sun can be mirrored there`() {
        begin("bonnet", *DAYLIGHT)
        assertTrue(phone.texts().toString(), phone.has("Where on earth is not said"))
        phone.touch("Where on earth is not said")
        phone.type("Latitude, longitude in degrees", "52 north")
        phone.touch("It is there")
        assertTrue(phone.has("no place on earth"))
        phone.type("Latitude, longitude in degrees", "52.0 N, 1.0 W")
        phone.touch("It is there")
        assertTrue(phone.texts().toString(), phone.has("52.00° N, 1.00° W") && phone.has("touch where the sun glares"))
        phone.touch("Back")
        assertFalse(phone.has("Where on earth is not said"))
        // From one place beside the wing, touches all over the bonnet: the sun is mirrored by some of them only.
        val reasons = mutableListOf<String>()
        for (u in listOf(200_000u, 500_000u, 800_000u)) for (v in listOf(100_000u, 300_000u, 500_000u, 700_000u, 900_000u)) {
            if (screen.stand == null) phone.standsBeside("front-left-fender")
            assertEquals(LookScreen.Ask.IMAGE, screen.ask)
            val before = phone.touches
            phone.touchPanel("bonnet", Spot(u, v))
            assertEquals(1, phone.touches - before)
            refusal()?.let { reasons += it }
            if (refusal() != null) phone.touch("Understood")
        }
        val looks = light().looks
        println("sun at 25 degrees: ${looks.size} touches of the bonnet recorded, ${reasons.size} refused: ${reasons.firstOrNull()}")
        assertTrue("$reasons", looks.isNotEmpty() && reasons.isNotEmpty() && reasons.any { "degrees" in it })
        val heading = looks.last().heading!!
        assertTrue(heading, Regex("""the front pointed to about \d+°, within \d+°, from the sun's image""").containsMatchIn(heading))
        assertEquals(emptyList<String>(), looks.map { it.shows }.filter { "not known" in it })
        // The heading is known now: what the sun can do is told.
        phone.touch("Seen so far")
        phone.touch("The sun today")
        phone.touch("left side")
        assertTrue(phone.texts().toString(), phone.has("The sun stands") && phone.has("own shade"))
    }

    @Test
    fun `what was just looked is told at once, and can be taken back`() {
        begin("front-left-door", *LAMP)
        val before = phone.touches
        phone.standsBeside("front-left-door")
        assertTrue(phone.texts().toString(), phone.has("You stand beside the left front door, about 0.8 m off"))
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        assertEquals("two touches", 2, phone.touches - before)
        assertTrue(phone.texts().toString(), phone.has("could have shown, where light and eye were right: fine lines"))
        assertEquals(LookScreen.Ask.STAND, screen.ask)
        val made = light()
        assertEquals(listOf(false), made.looks.map { it.sensed })
        assertEquals(listOf("front-left-door"), made.seen.single().panels.map { it.panel })
        phone.touch("Take back: this look")
        assertEquals(emptyList<String>(), light().looks.map { it.text })
        assertFalse(phone.has("could have shown"))
        // What nobody says counts as not seen, and that is said.
        phone.touch("point lamp")
        phone.touch("dark otherwise")
        phone.touch("Back")
        phone.standsBeside("front-left-door")
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        assertTrue(phone.texts().toString(), phone.has("counts as not seen: other light not stated"))
        phone.pass(11_000)
        assertFalse(phone.has("Take back"))
    }

    @Test
    fun `shaded here is one touch, along the whole side`() {
        begin("front-left-door", *DAYLIGHT)
        phone.touch("Look along: left side")
        val before = phone.touches
        phone.touch("Shaded here")
        assertEquals(1, phone.touches - before)
        val look = light().looks.single()
        assertEquals(Light.SOFT, look.light)
        assertTrue("${look.panels}", look.panels.size > 4 && look.panels.first() == "left front door")
        assertTrue(phone.texts().toString(), phone.has("could have shown, where light and eye were right: high spots"))
    }

    @Test
    fun `the phone's own lamp is followed by its sensor`() {
        begin("front-left-door", *LAMP)
        phone.touch("Sweep this phone’s lamp")
        // Turned about the upright axis by up to 30 degrees, held upright.
        phone.senses.turning = (0..15).map { upright(2.0 * it) }
        phone.standsBeside("front-left-door")
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        assertEquals(LookScreen.Ask.SWEEP, screen.ask)
        assertTrue(phone.senses.following && light().looks.isEmpty())
        // A phone that dies meanwhile begins the sweep anew; where one stands is kept.
        phone.die()
        phone.senses.turned()
        phone.desk.screen.look()
        phone.settle()
        assertEquals(LookScreen.Ask.IMAGE, screen.ask)
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        phone.touch("Swept: put on record")
        assertFalse(phone.senses.following)
        assertEquals(listOf(true), light().looks.map { it.sensed })
        assertTrue(phone.has("Followed by the phone’s sensor"))
        // Turning away puts the lamp out.
        phone.standsBeside("front-left-door")
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        phone.touch("Back")
        assertFalse(phone.senses.following)
        assertEquals(1, light().looks.size)
    }

    @Test
    fun `without a sensor the look is stated`() {
        phone.senses.turns = false
        begin("front-left-door", *LAMP)
        assertFalse(phone.has("Sweep this phone’s lamp"))
        phone.standsBeside("front-left-door")
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        assertEquals(listOf(false), light().looks.map { it.sensed })
    }

    @Test
    fun `a phone that dies between the two touches asks for the second one only`() {
        begin("front-left-door", *LAMP)
        phone.touchGround(200f, 400f)
        assertTrue("in the middle stands the car", phone.has("The car stands there") && screen.stand == null)
        phone.standsBeside("front-left-door")
        phone.die()
        assertEquals(LookScreen.Ask.IMAGE, screen.ask)
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        phone.die()
        assertEquals(1, light().looks.size)
        assertEquals(LookScreen.Ask.STAND, screen.ask)
        assertTrue("what the look was worth is told again", phone.has("could have shown"))
    }

    @Test
    fun `a screen reader stands and looks by names`() {
        begin("front-left-door", *LAMP)
        choose("beside the left front door, about 0.8 m off")
        assertEquals(LookScreen.Ask.IMAGE, screen.ask)
        choose("left front door")
        assertEquals(1, light().looks.size)
    }

    private fun choose(name: String) {
        val provider = phone.car.accessibilityNodeProvider
        val id = (0 until 100).first { provider.createAccessibilityNodeInfo(it)?.contentDescription == name }
        provider.performAction(id, AccessibilityNodeInfo.ACTION_CLICK, null)
        phone.settle()
    }

    @Test
    fun `the next look is told in words, beside what is blocked`() {
        begin("front-left-door", *LAMP)
        phone.standsBeside("front-left-door")
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        phone.touch("Seen so far")
        assertTrue(phone.texts().toString(), phone.has("left front door: could have been seen: fine lines"))
        val first = phone.texts().single { it.startsWith("1 ") }
        assertEquals(3, first.lines().size)
        assertTrue(first, "eye about" in first && "lamp" in first)
        assertTrue(first, "behind the" in first)
        phone.touch("rear")
        val left = phone.texts().single { it.startsWith("1 ") }
        assertFalse(left, "behind the" in left)
        for (side in listOf("left side", "right side", "front")) phone.touch(side)
        assertTrue(phone.texts().toString(), phone.has("no place adds to what has been seen"))
        phone.touch("sun")
        assertTrue(phone.texts().toString(), phone.has("which way the vehicle points is not known"))
    }

    @Test
    fun `a missed spot is treated and seen again under two kinds of light`() {
        begin("front-left-door", *LAMP)
        phone.touch("Missed spots")
        val often = oftenMissed(BodyForm.SALOON, Language.EN_GB)
        val offered = phone.texts().filter { text -> often.any { it.text == text } }
        assertEquals("in walking order", often.map { it.text }, offered)
        phone.touch(often.first().text)
        phone.touch("high spot")
        assertTrue(phone.has("Touch first where it is"))
        val car = phone.car
        phone.scrollTo(car)
        val at = car.bounds(often.first().panel)!!
        val r = phone.rect(car)
        phone.touch(r.left + at.exactCenterX(), r.top + at.exactCenterY())
        phone.touch("ceramic coating")
        phone.touch("4 h")
        phone.touch("high spot")
        assertEquals(Names.SPOT, phone.screen.page.name)
        val found = light().spots.single()
        assertTrue("${found.allows}", found.open && found.allows.isNotEmpty())
        assertTrue(phone.texts().toString(), phone.has(found.text) && phone.has(found.state) && phone.has(found.allows.first()))
        phone.touch(found.allows.first())
        phone.touch("Nothing of it seen")
        assertTrue(light().spots.single().open)
        phone.touch("soft light")
        phone.touch("Nothing of it seen")
        val closed = light().spots.single()
        assertFalse(closed.state, closed.open)
        assertEquals(3, closed.history.size)
        assertTrue(phone.has("closed: seen clear under two kinds of light"))
        phone.back()
        assertTrue(phone.has("closed"))
    }

    @Test
    fun `the phone's place is asked of the person first`() {
        begin("front-left-door", *DAYLIGHT)
        phone.touch("Where on earth is not said")
        phone.touch("Ask this phone")
        phone.activity.onRequestPermissionsResult(5, arrayOf(Manifest.permission.ACCESS_COARSE_LOCATION), intArrayOf(PackageManager.PERMISSION_DENIED))
        phone.settle()
        assertTrue(phone.has("The phone does not say where it is"))
        shadowOf(RuntimeEnvironment.getApplication()).grantPermissions(Manifest.permission.ACCESS_COARSE_LOCATION)
        phone.senses.place = Earth(51_500_000, -120_000, null)
        phone.touch("Ask this phone")
        assertTrue(phone.texts().toString(), phone.has("51.50° N, 0.12° W") && !phone.has("does not say"))
    }

    /** The phone's own sensor, as far as its machine is played here. */
    @Test
    fun `the rotation sensor is followed from beginning to end`() {
        val app = RuntimeEnvironment.getApplication()
        assertFalse("no sensor", PhoneSenses(app).apply { follow() }.following)
        val manager = app.getSystemService(Context.SENSOR_SERVICE) as SensorManager
        val sensor = ShadowSensor.newInstance(Sensor.TYPE_GAME_ROTATION_VECTOR)
        shadowOf(manager).addSensor(sensor)
        val senses = PhoneSenses(app)
        assertTrue(senses.turns)
        fun says(turn: Turned) = shadowOf(manager).sendSensorEventToListeners(
            SensorEventBuilder.newBuilder().setSensor(sensor).setValues(floatArrayOf(turn.x, turn.y, turn.z, turn.w)).build(),
        )
        says(upright(1.0))
        senses.follow()
        listOf(0.0, 10.0, 20.0).forEach { says(upright(it)) }
        val told = senses.turned()
        says(upright(30.0))
        assertFalse(senses.following)
        assertEquals(3, told.size)
        assertEquals(emptyList<Turned>(), senses.turned())
        val sweep = swept(told)
        assertEquals(2, sweep.size)
        assertTrue("$sweep", sweep.map { it.yawMdeg }.zip(listOf(10_000, 20_000)).all { (a, b) -> kotlin.math.abs(a - b) < 50 })
        assertNotNull(sensor)
    }

    @Test
    fun `a phone without a place answers so`() {
        var answers = 0
        var told: Earth? = Earth(0, 0, null)
        PhoneSenses(RuntimeEnvironment.getApplication()).place { told = it; answers++ }
        phone.pass(31_000)
        assertNull(told)
        assertEquals(1, answers)
    }

    /** A phone held upright, its back to the north, turned to the left. */
    private fun upright(leftDeg: Double): Turned {
        val (half, up) = Math.toRadians(leftDeg) / 2 to Math.toRadians(90.0) / 2
        val (c, s) = kotlin.math.cos(half) to kotlin.math.sin(half)
        val (cx, sx) = kotlin.math.cos(up) to kotlin.math.sin(up)
        return Turned((c * sx).toFloat(), (s * sx).toFloat(), (s * cx).toFloat(), (c * cx).toFloat())
    }

    private companion object {
        val LAMP = arrayOf("point lamp", "clean", "dark otherwise", "close look", "40 s")
        val DAYLIGHT = arrayOf("sun", "clean", "outdoors in daylight", "close look", "40 s")
    }
}
