package app.sidelong.platform

import android.os.Build
import android.security.keystore.KeyGenParameterSpec
import android.security.keystore.KeyInfo
import android.security.keystore.KeyProperties
import android.security.keystore.StrongBoxUnavailableException
import java.io.File
import java.io.FileOutputStream
import java.security.GeneralSecurityException
import java.security.KeyPairGenerator
import java.security.KeyStore
import java.security.PrivateKey
import java.security.Signature
import java.security.spec.ECGenParameterSpec
import javax.crypto.Cipher
import javax.crypto.KeyGenerator
import javax.crypto.SecretKey
import javax.crypto.spec.GCMParameterSpec
import sidelong.core.KeyHeld
import sidelong.core.NotebookException
import sidelong.core.SeedVault

/** Keys that do not leave the phone. An interface, because a test's machine has no key store. */
interface KeyChest {
    /** Encrypts so that only this phone can read it again. */
    fun wrap(plain: ByteArray): ByteArray

    /** Reads what [wrap] made. */
    fun unwrap(wrapped: ByteArray): ByteArray
}

/** The key of this phone that signs with P-256; what it signed shows that it was done on this very device. */
interface HardwareKey {
    /** Whether the key lies where the system cannot read it: a secure part of the processor, or a chip of its own. */
    val inHardware: Boolean

    /** The public key, SubjectPublicKeyInfo in DER. */
    fun publicKey(): ByteArray

    /** An ECDSA signature (DER) of the SHA-256 of the bytes. */
    fun sign(bytes: ByteArray): ByteArray
}

/** The platform's key store. Where there is a security chip of its own, the keys lie in that. */
class AndroidKeys : KeyChest, HardwareKey {
    private val store: KeyStore = KeyStore.getInstance(STORE).apply { load(null) }

    override fun wrap(plain: ByteArray): ByteArray {
        val cipher = Cipher.getInstance(GCM)
        cipher.init(Cipher.ENCRYPT_MODE, wrapping())
        return cipher.iv + cipher.doFinal(plain)
    }

    override fun unwrap(wrapped: ByteArray): ByteArray {
        val key = store.getKey(WRAPPING, null) ?: throw GeneralSecurityException("the key of this phone's vault is gone")
        val cipher = Cipher.getInstance(GCM)
        cipher.init(Cipher.DECRYPT_MODE, key, GCMParameterSpec(128, wrapped, 0, IV))
        return cipher.doFinal(wrapped, IV, wrapped.size - IV)
    }

    private fun wrapping(): SecretKey = (store.getKey(WRAPPING, null) as? SecretKey) ?: strongest { strong ->
        val spec = KeyGenParameterSpec.Builder(WRAPPING, KeyProperties.PURPOSE_ENCRYPT or KeyProperties.PURPOSE_DECRYPT)
            .setBlockModes(KeyProperties.BLOCK_MODE_GCM)
            .setEncryptionPaddings(KeyProperties.ENCRYPTION_PADDING_NONE)
            .setKeySize(256)
        if (strong) inChip(spec)
        KeyGenerator.getInstance(KeyProperties.KEY_ALGORITHM_AES, STORE).apply { init(spec.build()) }.generateKey()
    }

    private fun signing(): PrivateKey = (store.getKey(SIGNING, null) as? PrivateKey) ?: strongest { strong ->
        val spec = KeyGenParameterSpec.Builder(SIGNING, KeyProperties.PURPOSE_SIGN)
            .setAlgorithmParameterSpec(ECGenParameterSpec("secp256r1"))
            .setDigests(KeyProperties.DIGEST_SHA256)
        if (strong) inChip(spec)
        KeyPairGenerator.getInstance(KeyProperties.KEY_ALGORITHM_EC, STORE).apply { initialize(spec.build()) }.generateKeyPair().private
    }

    /** A key in the security chip, or where there is none (Android 8 has no such question) in the key store at large. */
    private fun <K> strongest(make: (Boolean) -> K): K {
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.P) return make(false)
        return inChipOr(make)
    }

    @Guarded
    private fun <K> inChipOr(make: (Boolean) -> K): K = try {
        make(true)
    } catch (_: StrongBoxUnavailableException) {
        make(false)
    }

    @Guarded
    private fun inChip(spec: KeyGenParameterSpec.Builder) {
        spec.setIsStrongBoxBacked(true)
    }

    override val inHardware: Boolean get() {
        val factory = java.security.KeyFactory.getInstance(KeyProperties.KEY_ALGORITHM_EC, STORE)
        val info = factory.getKeySpec(signing(), KeyInfo::class.java)
        return if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.S) level(info) else before(info)
    }

    @Guarded
    private fun level(info: KeyInfo): Boolean =
        info.securityLevel == KeyProperties.SECURITY_LEVEL_STRONGBOX || info.securityLevel == KeyProperties.SECURITY_LEVEL_TRUSTED_ENVIRONMENT

    /** What was asked before Android 12. */
    @Suppress("DEPRECATION")
    private fun before(info: KeyInfo): Boolean = info.isInsideSecureHardware

    override fun publicKey(): ByteArray {
        signing()
        return store.getCertificate(SIGNING).publicKey.encoded
    }

    override fun sign(bytes: ByteArray): ByteArray = Signature.getInstance("SHA256withECDSA").run {
        initSign(signing())
        update(bytes)
        sign()
    }

    private companion object {
        const val STORE = "AndroidKeyStore"
        const val WRAPPING = "sidelong.seed"
        const val SIGNING = "sidelong.device"
        const val GCM = "AES/GCM/NoPadding"

        /** Bytes of the nonce that the key store makes for GCM. */
        const val IV = 12
    }
}

/** The signing seed, wrapped by a key of the phone, in a file of ours that is in no backup. */
class PhoneVault(private val file: File, private val chest: () -> KeyChest) : SeedVault {
    override fun load(): ByteArray? = if (!file.exists()) null else told("the signing key cannot be read") { chest().unwrap(file.readBytes()) }

    override fun save(seed: ByteArray) = told("the signing key cannot be kept") {
        val fresh = File(file.path + ".new")
        val wrapped = chest().wrap(seed)
        FileOutputStream(fresh).use { out ->
            out.write(wrapped)
            out.fd.sync()
        }
        if (!fresh.renameTo(file)) throw java.io.IOException("not renamed")
    }
}

/** The phone's own key as the core asks for it: it co-signs the end of a visit. What fails here undoes nothing. */
class PhoneKey(private val key: () -> HardwareKey) : sidelong.core.HardwareKey {
    override fun publicKey(): ByteArray = told("this phone's own key cannot be read") { key().publicKey() }

    override fun sign(statement: ByteArray): ByteArray = told("this phone's own key does not sign") { key().sign(statement) }

    override fun held(): KeyHeld = told("this phone's own key cannot be read") { if (key().inHardware) KeyHeld.HARDWARE else KeyHeld.SOFTWARE }
}

/** The core understands its own error only; anything else would end the program. */
private fun <T> told(what: String, work: () -> T): T = try {
    work()
} catch (problem: GeneralSecurityException) {
    throw NotebookException.Io(what, problem.toString())
} catch (problem: java.security.ProviderException) {
    throw NotebookException.Io(what, problem.toString())
} catch (problem: java.io.IOException) {
    throw NotebookException.Io(what, problem.toString())
}
