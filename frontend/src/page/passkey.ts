/** Passkeys: what the server asks, put to the browser's authenticator, and its answer as JSON. */

type Bytes = { [name: string]: unknown };

/** The bytes of a base64url text. */
export function bytesOf(text: string): Uint8Array<ArrayBuffer> {
  const plain = text.replace(/-/g, "+").replace(/_/g, "/");
  const raw = atob(plain + "=".repeat((4 - (plain.length % 4)) % 4));
  return Uint8Array.from(raw, (letter) => letter.charCodeAt(0));
}

/** Bytes as base64url without padding. */
export function textOf(bytes: ArrayBuffer): string {
  let raw = "";
  for (const byte of new Uint8Array(bytes)) raw += String.fromCharCode(byte);
  return btoa(raw).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}

type Named = { id: string; type: "public-key"; transports?: AuthenticatorTransport[] };

function described(named: Named): PublicKeyCredentialDescriptor {
  return { ...named, id: bytesOf(named.id) };
}

/** What makes a new passkey, from the server's JSON (Web Authentication, level 3). */
export function creation(told: Bytes): PublicKeyCredentialCreationOptions {
  const user = told["user"] as { id: string; name: string; displayName: string };
  const excluded = (told["excludeCredentials"] ?? []) as Named[];
  return {
    ...(told as unknown as PublicKeyCredentialCreationOptions),
    challenge: bytesOf(told["challenge"] as string),
    user: { ...user, id: bytesOf(user.id) },
    excludeCredentials: excluded.map(described),
  };
}

/** What asks a passkey to sign, from the server's JSON. */
export function request(told: Bytes): PublicKeyCredentialRequestOptions {
  const allowed = (told["allowCredentials"] ?? []) as Named[];
  return {
    ...(told as unknown as PublicKeyCredentialRequestOptions),
    challenge: bytesOf(told["challenge"] as string),
    allowCredentials: allowed.map(described),
  };
}

/** The authenticator's answer as the server reads it. */
export function answered(credential: PublicKeyCredential): Bytes {
  const given = credential.response;
  const response: Bytes = { clientDataJSON: textOf(given.clientDataJSON) };
  if (given instanceof AuthenticatorAttestationResponse) {
    response["attestationObject"] = textOf(given.attestationObject);
    response["transports"] = given.getTransports();
  }
  if (given instanceof AuthenticatorAssertionResponse) {
    response["authenticatorData"] = textOf(given.authenticatorData);
    response["signature"] = textOf(given.signature);
    response["userHandle"] = given.userHandle ? textOf(given.userHandle) : null;
  }
  return {
    id: credential.id,
    rawId: textOf(credential.rawId),
    type: credential.type,
    response,
    clientExtensionResults: credential.getClientExtensionResults(),
    authenticatorAttachment: credential.authenticatorAttachment,
  };
}
